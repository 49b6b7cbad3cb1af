//! Which lots in the books are built to a change, so that one of them can be its first.

use std::collections::BTreeSet;

use crate::analysis::Holders;
use crate::field::{ChangeFacts, Field, LotId};

/// Lots of the revision after, of items that hold it by their structure, and of whatever was made from such lots.
pub fn lots_built_to(field: &Field, change: &ChangeFacts) -> Vec<LotId> {
    let holders = Holders::of_revision(field, change.to);
    let by_structure = field.lots.iter().filter(|(_, lot)| holders.has(lot.revision, lot.size));
    let mut found: BTreeSet<LotId> = by_structure.map(|(id, _)| id).collect();
    let mut open: Vec<LotId> = found.iter().copied().collect();
    while let Some(lot) = open.pop() {
        for &(made, _) in &field.lots[lot].used_in {
            if found.insert(made) {
                open.push(made);
            }
        }
    }
    found.into_iter().collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lot_use::LotUse;
    use crate::nouns::{builder, change, lot, part};

    #[test]
    fn a_carrier_made_from_a_new_lot_of_the_part_counts_and_an_old_one_does_not() {
        let mut b = builder();
        for (part_no, revision, kind) in
            [("RC-100", "A", "ITEM"), ("RC-131", "A", "ZIP"), ("RC-131", "B", "ZIP")]
        {
            b.part(&part(part_no, revision, kind)).expect("new");
        }
        let lots = [
            ("TB-1", "RC-100", "A"),
            ("TB-2", "RC-100", "A"),
            ("Z-1", "RC-131", "A"),
            ("Z-2", "RC-131", "B"),
        ];
        for (lot_no, part_no, revision) in lots {
            b.lot(&lot(lot_no, part_no, revision)).expect("known part");
        }
        for (lot_no, used) in [("TB-1", "Z-1"), ("TB-2", "Z-2")] {
            b.lot_use(&LotUse { lot_no: lot_no.into(), used_lot_no: used.into(), quantity: None })
                .expect("known");
        }
        b.change(&change("2026-001", "RC-131")).expect("known");
        let field = b.build();
        let found = lots_built_to(&field, &field.changes.rows()[0]);
        let mut numbers: Vec<&str> = found.iter().map(|&lot| &*field.lots[lot].lot_no).collect();
        numbers.sort_unstable();
        assert_eq!(numbers, ["TB-2", "Z-2"]);
    }
}
