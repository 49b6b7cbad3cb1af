//! Demand: spare parts drawn in a month, a second sight of failures.

use chrono::NaiveDate;

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
