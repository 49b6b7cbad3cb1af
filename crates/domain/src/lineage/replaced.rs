//! What items contain once parts of them were replaced.

use std::collections::BTreeSet;

use super::content::Content;
use super::passage::Passage;
use crate::field::{Field, LotId, PartId};
use crate::ledger::{ClocksId, Ledger, changed_parts};

/// How much of the items of a lot contains the lot in question, once parts were replaced.
///
/// A replaced part no longer counts, except in the most: which item got the new part is seldom on record.
pub(super) fn content(
    field: &Field,
    ledger: &Ledger,
    passage: &mut Passage<'_>,
    lot: LotId,
    clocks: ClocksId,
) -> Content {
    let as_made = passage.into(lot).content;
    let restarts = ledger.clocks.all(clocks);
    if restarts.is_empty() {
        return as_made;
    }
    // What conversion replaced, the lot converted to says by what it was made from.
    let converted: BTreeSet<PartId> = field.lots[lot]
        .converted_from
        .iter()
        .flat_map(|&(from, _)| changed_parts(field, from, lot))
        .collect();
    let by_event = restarts.iter().filter(|r| r.new_lot.is_some() || !converted.contains(&r.part));
    let replaced: BTreeSet<PartId> = by_event.map(|restart| restart.part).collect();
    let mut content = passage.without(lot, &replaced).content;
    for new_lot in restarts.iter().filter_map(|restart| restart.new_lot) {
        let new = passage.into(new_lot).content;
        // A part of a lot that only partly contains it: surely only where all of it does.
        let without = if new.without <= 0.0 { 0.0 } else { f64::INFINITY };
        content = content.or(Content { without, ..new });
    }
    Content { most: content.most.max(as_made.most), ..content }
}
