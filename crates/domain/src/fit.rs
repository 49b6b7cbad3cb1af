//! Fit: the span of body dimensions a size is made for.

use chrono::NaiveDate;

use crate::pack::{KeyHasher, Known, Record, Table};
use crate::words::Problem;

/// The span of one body dimension that one size fits.
#[derive(Clone, Debug, PartialEq)]
pub struct FitRange {
    /// The item.
    pub item_part_no: String,
    /// The size.
    pub size: String,
    /// The dimension, without its unit (`chest`).
    pub dimension: String,
    /// Smallest, in mm.
    pub low_mm: f64,
    /// Largest, in mm.
    pub high_mm: f64,
}

impl FitRange {
    /// Refuses spans that end before they begin.
    pub fn check(&self) -> Result<(), Problem> {
        if self.low_mm.is_finite() && self.high_mm.is_finite() && self.low_mm < self.high_mm {
            Ok(())
        } else {
            Err(Problem::new("high_mm", "expected more than low_mm"))
        }
    }
}

impl Record for FitRange {
    const TABLE: Table = Table::FitRanges;

    fn check_row(&self, _today: NaiveDate) -> Result<(), Problem> {
        self.check()
    }

    fn check_references(&self, known: &Known, problems: &mut Vec<Problem>) {
        known.need_item("item_part_no", &self.item_part_no, problems);
    }

    fn key(&self, key: &mut KeyHasher) {
        key.field([&self.item_part_no, &self.size, &self.dimension]);
    }

    fn learn(&self, known: &mut Known) {
        known.add_dimension(&self.dimension);
    }
}
