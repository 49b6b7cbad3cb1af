//! Upstream lots of a failed part in each item lot, with the share of the items that has each.

use std::collections::BTreeMap;

use crate::field::{Field, LotId, PartId};
use crate::lineage::{DEEPEST, shares, used_by_part};

/// Lots of the failed part in an item lot and what those were made from, with the share of the items that has each.
///
/// Where a lot used several lots of one part, they share its items by the quantities used, or equally where a quantity
/// is not known: which item has which is not on record. Shares along a way through the lineage multiply.
pub(super) fn upstream(field: &Field, failed: PartId, item_lot: LotId) -> Vec<(LotId, f64)> {
    let mut found: BTreeMap<LotId, f64> = BTreeMap::new();
    // Level by level, each lot once with all its ways together and whether the failed part has been passed on them.
    let mut level = BTreeMap::from([((item_lot, field.part_of_lot(item_lot) == failed), 1.0)]);
    for _ in 0..DEEPEST {
        let mut next: BTreeMap<(LotId, bool), f64> = BTreeMap::new();
        for ((lot, inside), share) in level {
            for (part, lots) in used_by_part(field, lot) {
                let inside = inside || part == failed;
                let quantities: Vec<Option<f64>> = lots.iter().map(|lot| lot.1).collect();
                for (&(below, _), part_of_it) in lots.iter().zip(shares(&quantities)) {
                    if inside {
                        *found.entry(below).or_default() += share * part_of_it;
                    }
                    *next.entry((below, inside)).or_default() += share * part_of_it;
                }
            }
        }
        level = next;
    }
    found.into_iter().collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lot_use::LotUse;
    use crate::nouns::{builder, lot, part};

    /// Ten levels of ten lots, each made of all ten below it: ten thousand million ways, and a tenth of the items has each lot.
    #[test]
    fn a_lot_is_walked_once_however_many_ways_lead_to_it() {
        let mut b = builder();
        let lot_no = |level: usize, n: usize| format!("L{level}-{n}");
        for level in 0..=10 {
            let part_no = format!("P{level}");
            b.part(&part(&part_no, "A", if level == 0 { "ITEM" } else { "WEB" })).expect("new");
            for n in 0..if level == 0 { 1 } else { 10 } {
                b.lot(&lot(&lot_no(level, n), &part_no, "A")).expect("new");
                if level > 0 {
                    for above in 0..if level == 1 { 1 } else { 10 } {
                        let (lot_no, used_lot_no) = (lot_no(level - 1, above), lot_no(level, n));
                        b.lot_use(&LotUse { lot_no, used_lot_no, quantity: Some(1.0) }).expect("known");
                    }
                }
            }
        }
        let field = b.build();
        let failed = field.part_names.find("P1").expect("known");
        let (item_lot, _) = field.lots.iter().find(|(_, lot)| *lot.lot_no == *"L0-0").expect("known");
        let found = upstream(&field, failed, item_lot);
        assert_eq!(found.len(), 100);
        assert!(found.iter().all(|(_, share)| (share - 0.1).abs() < 1e-12), "{found:?}");
    }
}
