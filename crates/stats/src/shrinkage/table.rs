//! A table laid out so that what depends on a count alone is worked out once for each different count.

use super::Cell;
use crate::special::gamma::ln_gamma;
use std::collections::BTreeMap;

/// A table in the form the likelihood is quick on: each different count once, cells pointing to theirs.
pub(super) struct Table {
    /// The different counts.
    pub(super) counts: Vec<f64>,
    /// Each cell's place among the counts, and its expected count.
    pub(super) cells: Vec<(usize, f64)>,
    /// Sum of `n ln E - lgamma(n + 1)`, which no parameter changes.
    pub(super) constant: f64,
}

impl Table {
    pub(super) fn new(cells: impl Iterator<Item = Cell> + Clone) -> Self {
        let mut places = BTreeMap::new();
        for cell in cells.clone() {
            places.insert(cell.count, 0);
        }
        for (place, index) in places.values_mut().enumerate() {
            *index = place;
        }
        let constant =
            cells.clone().map(|c| c.count as f64 * c.expected.ln() - ln_gamma(c.count as f64 + 1.0)).sum();
        Self {
            counts: places.keys().map(|&n| n as f64).collect(),
            cells: cells.map(|c| (places[&c.count], c.expected)).collect(),
            constant,
        }
    }
}
