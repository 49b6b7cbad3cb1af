//! A change: what the pack carries of an engineering change and its life.

use chrono::NaiveDate;

use crate::words::{Problem, words};

words! {
    /// Where a change stands.
    pub enum ChangeState {
        /// Being written.
        Draft = "draft",
        /// Before the board.
        Submitted = "submitted",
        /// Approved, not yet built.
        Approved = "approved",
        /// Refused.
        Disapproved = "disapproved",
        /// Put off.
        Deferred = "deferred",
        /// Built into production from a lot on.
        CutIn = "cut in",
        /// Shown by field data.
        Proved = "proved",
        /// Field data did not show it.
        NotProved = "not proved",
        /// Given up.
        Withdrawn = "withdrawn",
    }
}

/// A change as a pack carries it.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// Its number, the key.
    pub change_no: String,
    /// Its title.
    pub title: String,
    /// The part that changes.
    pub part_no: String,
    /// The revision before.
    pub from_revision: String,
    /// The revision after.
    pub to_revision: String,
    /// The modes it is meant to cure; every relevant mode on the part when empty.
    pub modes: Vec<String>,
    /// Where it stands.
    pub state: Option<ChangeState>,
    /// First lot built to it.
    pub cut_in_lot: Option<String>,
    /// When.
    pub cut_in_on: Option<NaiveDate>,
}

impl Change {
    /// Refuses a change from a revision to itself.
    pub fn check(&self) -> Result<(), Problem> {
        if self.from_revision == self.to_revision {
            return Err(Problem::new("to_revision", "is the same as from_revision"));
        }
        Ok(())
    }
}
