//! Lines of tables that books also fill, as far as they were written down here: only these can be taken back.

use domain::words::Problem;

/// A line with the store's own number of it.
#[derive(Clone, Debug, PartialEq)]
pub struct WrittenHere<T> {
    /// The number.
    pub id: i64,
    /// What it says.
    pub noun: T,
}

/// The longest reason of a correction, in letters.
const LONGEST: usize = 2_000;

/// The reason of a correction, which can't be left out.
///
/// # Errors
/// That there is none, or that it is too long.
pub(crate) fn need_reason(reason: &str) -> Result<&str, Problem> {
    let reason = reason.trim();
    if reason.is_empty() || reason.chars().count() > LONGEST {
        return Err(Problem::new("reason", "say why, in up to 2,000 letters"));
    }
    Ok(reason)
}
