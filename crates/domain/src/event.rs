//! An event in an item's life: wash, repair, replacement, alteration, function test.

use chrono::NaiveDate;

use crate::words::{Problem, words};

words! {
    /// What was done.
    pub enum EventKind {
        /// Washed.
        Wash = "wash",
        /// Repaired.
        Repair = "repair",
        /// A part was replaced and starts at age 0.
        PartReplaced = "part_replaced",
        /// Altered.
        Alteration = "alteration",
        /// A release or closure was function-tested.
        FunctionTest = "function_test",
    }
}

/// One event on one or several items.
#[derive(Clone, Debug, PartialEq)]
pub struct Event {
    /// The day.
    pub happened_on: NaiveDate,
    /// Where.
    pub unit: String,
    /// The item, where known by number.
    pub serial: Option<String>,
    /// The lot, where known.
    pub lot_no: Option<String>,
    /// Items concerned.
    pub quantity: u32,
    /// What was done.
    pub kind: EventKind,
    /// The part concerned.
    pub part_no: Option<String>,
    /// The lot of the new part.
    pub new_lot_no: Option<String>,
    /// How it came out.
    pub outcome: Option<String>,
}

impl Event {
    /// Refuses replacements without a part and events on nothing.
    pub fn check(&self) -> Result<(), Problem> {
        if self.quantity == 0 {
            return Err(Problem::new("quantity", "expected at least 1"));
        }
        if self.kind == EventKind::PartReplaced && self.part_no.is_none() {
            return Err(Problem::new("part_no", "expected the part that was replaced"));
        }
        Ok(())
    }
}
