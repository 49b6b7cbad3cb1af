//! The tariff: how many of a thousand issued items are of each size.

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
