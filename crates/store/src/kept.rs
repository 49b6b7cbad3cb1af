//! What is kept under a sheet number, with who wrote it down and when.

use chrono::{DateTime, Datelike as _, Utc};
use domain::words::Problem;
use sea_orm::{ColumnTrait as _, ConnectionTrait, EntityTrait, QueryFilter as _, QuerySelect as _};

use crate::error::Result;

/// A thing with its sheet number.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Kept<T> {
    /// Its number.
    pub number: String,
    /// The thing.
    pub what: T,
    /// Who wrote it down.
    pub by: String,
    /// When.
    pub at: DateTime<Utc>,
}

/// The next sheet number of the year after those in a column: `I-2026-003` of the kind `I-`, `2026-003` of the kind that
/// has no letter. A row of an import that nobody may see yet has taken its number too. The writer's lock keeps two from
/// the same one.
pub(crate) async fn next_number<E: EntityTrait>(
    db: &impl ConnectionTrait,
    column: E::Column,
    kind: &str,
    now: DateTime<Utc>,
) -> Result<String> {
    let start = start_of(kind, now);
    let taken = E::find().select_only().column(column).filter(column.starts_with(&start));
    let taken: Vec<String> = taken.into_tuple().all(db).await?;
    Ok(number_after(&start, &taken))
}

fn start_of(kind: &str, now: DateTime<Utc>) -> String {
    format!("{kind}{}-", now.year())
}

/// The number after those taken that start so; SQLite's `LIKE` also finds some that start so in the other case. What came with
/// a pack may be numbered in some other way: a million in a year nobody counts to.
fn number_after(start: &str, taken: &[String]) -> String {
    let of_year = taken.iter().filter_map(|number| number.strip_prefix(start)?.parse::<u32>().ok());
    format!("{start}{:03}", of_year.filter(|&number| number < 1_000_000).max().unwrap_or(0) + 1)
}

/// What was withdrawn stays so, and a reason is said.
pub(crate) fn check_withdrawal(is_withdrawn: bool, why: &str) -> Result<()> {
    if is_withdrawn {
        return Err(Problem::new("why", "it was withdrawn already").into());
    }
    if why.trim().is_empty() {
        return Err(Problem::new("why", "expected why it is withdrawn").into());
    }
    Ok(())
}

/// Lot numbers as one column, a line each.
pub(crate) fn lines(lots: &[String]) -> String {
    lots.join("\n")
}

/// ... and back.
pub(crate) fn of_lines(column: &str) -> Vec<String> {
    column.lines().map(str::to_owned).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_run_by_year_and_by_kind() {
        let now = DateTime::from_timestamp(1_772_539_200, 0).expect("a moment");
        let taken = ["I-2025-007", "I-2026-002", "V-2026-009", "i-2026-012", "2026-004", "2026-4294967295"]
            .map(str::to_owned);
        let next = |kind| number_after(&start_of(kind, now), &taken);
        assert_eq!(["I-", "M-", ""].map(next), ["I-2026-003", "M-2026-001", "2026-005"]);
    }
}
