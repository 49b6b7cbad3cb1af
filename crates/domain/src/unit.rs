//! A unit: who holds, wears, stores or repairs items.

use chrono::NaiveDate;

use crate::pack::{KeyHasher, Known, Record, Table};
use crate::words::{Problem, words};

words! {
    /// What a unit does with items. Time in a store, depot or repair unit is not exposure.
    pub enum UnitKind {
        /// Wears the items at work.
        Wearing = "wearing",
        /// Wears them in training.
        School = "school",
        /// Keeps them for issue.
        Store = "store",
        /// Keeps the organisation's stock.
        Depot = "depot",
        /// Mends them.
        Repair = "repair",
    }
}

impl UnitKind {
    /// Whether items held by such a unit are in service.
    pub const fn in_service(self) -> bool {
        matches!(self, Self::Wearing | Self::School)
    }
}

/// A unit of the organisation.
#[derive(Clone, Debug, PartialEq)]
pub struct Unit {
    /// Its code, the key.
    pub unit: String,
    /// Its name in words.
    pub name: Option<String>,
    /// What it does with items.
    pub kind: UnitKind,
    /// The unit it belongs to.
    pub parent_unit: Option<String>,
    /// Where answers may be mailed; leaves the program only when asked for.
    pub contact_email: Option<String>,
}

impl Record for Unit {
    const TABLE: Table = Table::Units;
    const NAMES_ITS_OWN: bool = true;

    fn check_row(&self, _today: NaiveDate) -> Result<(), Problem> {
        Ok(())
    }

    fn check_references(&self, known: &Known, problems: &mut Vec<Problem>) {
        if let Some(parent) = &self.parent_unit {
            known.need_unit("parent_unit", parent, problems);
            if known.unit_would_loop(&self.unit, parent) {
                problems.push(Problem::new(
                    "parent_unit",
                    "a unit can't belong to itself, nor to one that belongs to it",
                ));
            }
        }
    }

    fn key(&self, key: &mut KeyHasher) {
        key.field(&self.unit);
    }

    fn learn(&self, known: &mut Known) {
        known.add_unit(&self.unit, self.parent_unit.as_deref());
    }

    fn forget(&self, known: &mut Known) {
        known.remove_unit(&self.unit);
    }

    fn is_known(&self, known: &Known) -> Option<bool> {
        Some(known.has_unit(&self.unit))
    }
}
