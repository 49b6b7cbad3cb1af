//! What every noun of a pack can be asked: its table, its key, whether its fields agree and its references exist.

use std::hash::{DefaultHasher, Hash, Hasher};

use chrono::NaiveDate;

use super::{Known, Table};
use crate::words::Problem;

/// A noun that has a table in a pack.
pub trait Record {
    /// The table it stands in.
    const TABLE: Table;
    /// Whether rows may name rows further down in the same table.
    const NAMES_ITS_OWN: bool = false;

    /// Whether the fields of the row agree with each other and with the reader's date.
    ///
    /// # Errors
    /// The first disagreement found; dates of things that have happened can't lie after `today`.
    fn check_row(&self, today: NaiveDate) -> Result<(), Problem>;

    /// Adds a problem for each thing that the row names and that doesn't exist.
    fn check_references(&self, known: &Known, problems: &mut Vec<Problem>);

    /// Feeds the natural key to `key`; a noun without one (equal rows then stand for separate things) feeds nothing.
    fn key(&self, key: &mut KeyHasher);

    /// Adds what later rows may name, and what they must not make ambiguous.
    fn learn(&self, _known: &mut Known) {}

    /// Takes back what [`Record::learn`] added, where rows may name their own table.
    fn forget(&self, _known: &mut Known) {}

    /// Whether `known` has a record of this key; `None` where it can't tell without asking the store.
    fn is_known(&self, _known: &Known) -> Option<bool> {
        None
    }
}

/// Folds the fields of a natural key into 64 bits, which tell keys apart for all practical purposes.
#[derive(Default)]
pub struct KeyHasher {
    hasher: DefaultHasher,
    fed: bool,
}

impl KeyHasher {
    /// Adds a field of the key.
    pub fn field(&mut self, field: impl Hash) -> &mut Self {
        field.hash(&mut self.hasher);
        self.fed = true;
        self
    }

    /// The folded key; `None` when nothing was fed.
    pub fn finish(self) -> Option<u64> {
        self.fed.then(|| self.hasher.finish())
    }
}

/// Refuses a date after `today`.
pub(crate) fn not_future(
    field: &'static str,
    date: Option<NaiveDate>,
    today: NaiveDate,
) -> Result<(), Problem> {
    match date {
        Some(date) if date > today => {
            Err(Problem::new(field, format!("is in the future (today is {today})")))
        }
        _ => Ok(()),
    }
}
