//! The tariff: how many of a thousand issued items are of each size.

use chrono::NaiveDate;

use crate::pack::{KeyHasher, Known, Record, Table};
use crate::words::Problem;

/// Share of one size of an item.
#[derive(Clone, Debug, PartialEq)]
pub struct SizeShare {
    /// The item.
    pub part_no: String,
    /// The size.
    pub size: String,
    /// Items of this size among 1,000.
    pub share_per_1000: f64,
}

impl Record for SizeShare {
    const TABLE: Table = Table::Sizes;

    fn check_row(&self, _today: NaiveDate) -> Result<(), Problem> {
        if (0.0..=1000.0).contains(&self.share_per_1000) {
            Ok(())
        } else {
            Err(Problem::new("share_per_1000", "expected 0 to 1000"))
        }
    }

    fn check_references(&self, known: &Known, problems: &mut Vec<Problem>) {
        known.need_part("part_no", &self.part_no, problems);
    }

    fn key(&self, key: &mut KeyHasher) {
        key.field(&self.part_no).field(&self.size);
    }
}
