//! What is kept under a sheet number, with who wrote it down and when.

use chrono::{DateTime, Datelike as _, Utc};

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

/// The next sheet number of the year after those taken: `I-2026-003`. The writer's lock keeps two from the same one.
pub(crate) fn next_number(prefix: &str, now: DateTime<Utc>, taken: &[String]) -> String {
    let start = format!("{prefix}-{}-", now.year());
    let of_year = taken.iter().filter_map(|number| number.strip_prefix(&start)?.parse::<u32>().ok());
    format!("{start}{:03}", of_year.max().unwrap_or(0) + 1)
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
        let taken = ["I-2025-007", "I-2026-002", "V-2026-009"].map(str::to_owned);
        assert_eq!(next_number("I", now, &taken), "I-2026-003");
        assert_eq!(next_number("M", now, &taken), "M-2026-001");
    }
}
