//! An event in an item's life: wash, repair, replacement, alteration, function test.

use chrono::NaiveDate;

use crate::pack::{KeyHasher, Known, Record, Table, not_future};
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

impl Record for Event {
    const TABLE: Table = Table::Events;

    fn check_row(&self, today: NaiveDate) -> Result<(), Problem> {
        not_future("happened_on", Some(self.happened_on), today)?;
        self.check()
    }

    fn check_references(&self, known: &Known, problems: &mut Vec<Problem>) {
        known.need_unit("unit", &self.unit, problems);
        if let Some(serial) = &self.serial {
            known.need_serial("serial", serial, problems);
        }
        if let Some(lot_no) = &self.lot_no {
            known.need_lot("lot_no", lot_no, problems);
        }
        if let Some(part_no) = &self.part_no {
            known.need_part("part_no", part_no, problems);
        }
        if let Some(new_lot_no) = &self.new_lot_no {
            known.need_lot("new_lot_no", new_lot_no, problems);
        }
    }

    fn key(&self, _key: &mut KeyHasher) {}

    fn learn(&self, known: &mut Known) {
        self.lot_no.iter().chain(&self.new_lot_no).for_each(|lot_no| known.name_lot(lot_no));
    }
}
