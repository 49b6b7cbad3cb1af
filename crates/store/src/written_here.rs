//! Lines of tables that books also fill, as far as they were written down here: only these can be taken back.

use chrono::{DateTime, Utc};
use domain::permission::Actor;
use domain::words::Problem;
use sea_orm::IntoActiveModel as _;
use sea_orm::entity::prelude::*;

use crate::error::Result;
use crate::journal::{Entry, enter};
use crate::json;
use crate::stored::Stored;

/// A line with the store's own number of it.
#[derive(Clone, Debug, PartialEq)]
pub struct WrittenHere<T> {
    /// The number.
    pub id: i64,
    /// What it says.
    pub noun: T,
}

/// The nouns of some rows, each with the store's own number, which `id` gives.
pub(crate) fn numbered<E: Stored>(
    rows: Vec<E::Model>,
    id: impl Fn(&E::Model) -> i64,
) -> Result<Vec<WrittenHere<E::Noun>>> {
    rows.into_iter().map(|row| Ok(WrittenHere { id: id(&row), noun: E::noun(row)? })).collect()
}

/// Takes a row off the record and enters it in the journal with the reason.
pub(crate) async fn take_off<E: Stored>(
    db: &impl ConnectionTrait,
    by: &Actor,
    now: DateTime<Utc>,
    (entry, row): (Entry<'_>, E::Model),
    reason: &str,
) -> Result<()> {
    E::delete(row.clone().into_active_model()).exec(db).await?;
    let said = serde_json::json!({ "reason": reason });
    enter(db, by, now, entry.before(json::row(row)).after(said)).await?;
    Ok(())
}

/// The longest reason of a correction, in letters.
const LONGEST: usize = 2_000;

/// The reason of a correction, which can't be left out.
///
/// # Errors
/// That there is none, or that it is too long.
pub(crate) fn need_reason(reason: &str) -> std::result::Result<&str, Problem> {
    let reason = reason.trim();
    if reason.is_empty() || reason.chars().count() > LONGEST {
        return Err(Problem::new("reason", "say why, in up to 2,000 letters"));
    }
    Ok(reason)
}
