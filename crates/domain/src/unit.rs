//! A unit: who holds, wears, stores or repairs items.

use crate::words::words;

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
