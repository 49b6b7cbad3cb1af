//! Demand: spare parts drawn in a month, a second sight of failures.

use chrono::NaiveDate;

use crate::pack::{KeyHasher, Known, Record, Table, not_future};
use crate::words::Problem;

/// Parts drawn in one month.
#[derive(Clone, Debug, PartialEq)]
pub struct Demand {
    /// The first day of the month.
    pub month: NaiveDate,
    /// The part.
    pub part_no: String,
    /// How many were drawn.
    pub quantity_drawn: u32,
}

impl Record for Demand {
    const TABLE: Table = Table::Demand;

    fn check_row(&self, today: NaiveDate) -> Result<(), Problem> {
        not_future("month", Some(self.month), today)
    }

    fn check_references(&self, known: &Known, problems: &mut Vec<Problem>) {
        known.need_part("part_no", &self.part_no, problems);
    }

    fn key(&self, key: &mut KeyHasher) {
        key.field(self.month).field(&self.part_no);
    }
}
