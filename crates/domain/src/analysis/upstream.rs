//! Upstream lots of a failed part in each item lot, with the share of the items that has each.

use std::collections::BTreeMap;

use crate::field::{Field, LotId, PartId};
use crate::lineage::{DEEPEST, shares, used_by_part};

/// Lots of the failed part in an item lot and what those were made from, with the share of the items that has each.
///
/// Where a lot used several lots of one part, they share its items by the quantities used, or equally where a quantity
/// is not known: which item has which is not on record. Shares along a way through the lineage multiply.
pub(super) fn upstream(field: &Field, failed: PartId, item_lot: LotId) -> Vec<(LotId, f64)> {
    let mut found = BTreeMap::new();
    let is_failed = field.part_of_lot(item_lot) == failed;
    descend(field, failed, item_lot, (1.0, is_failed), DEEPEST, &mut found);
    found.into_iter().collect()
}

/// Walks what a lot used; `inside` says that the failed part has been passed on the way.
fn descend(
    field: &Field,
    failed: PartId,
    lot: LotId,
    (share, inside): (f64, bool),
    left: usize,
    found: &mut BTreeMap<LotId, f64>,
) {
    if left == 0 {
        return;
    }
    for (part, lots) in used_by_part(field, lot) {
        let inside = inside || part == failed;
        let quantities: Vec<Option<f64>> = lots.iter().map(|lot| lot.1).collect();
        for (&(below, _), part_of_it) in lots.iter().zip(shares(&quantities)) {
            let share = share * part_of_it;
            if inside {
                *found.entry(below).or_default() += share;
            }
            descend(field, failed, below, (share, inside), left - 1, found);
        }
    }
}
