//! What items contain once parts of them were replaced.

use std::collections::BTreeSet;

use super::content::Content;
use super::passage::Passage;
use crate::field::{LotId, PartId};
use crate::ledger::{ClocksId, Ledger};

/// How much of the items of a lot contains the lot in question, once parts were replaced.
///
/// A replaced part no longer counts, except in the most: which item got the new part is seldom on record.
pub(super) fn content(ledger: &Ledger, passage: &mut Passage<'_>, lot: LotId, clocks: ClocksId) -> Content {
    let as_made = passage.into(lot).content;
    let restarts = ledger.clocks.all(clocks);
    if restarts.is_empty() {
        return as_made;
    }
    // What conversion replaced, the lot converted to says by what it was made from.
    let by_event = restarts.iter().filter(|restart| !restart.by_conversion);
    let replaced: BTreeSet<PartId> = by_event.map(|restart| restart.part).collect();
    let content = passage.without(lot, &replaced).content.or(of_new_parts(ledger, passage, clocks));
    Content { most: content.most.max(as_made.most), ..content }
}

/// How much of items contains the lot in question by the new parts they were given: all that can be said of items of
/// unknown lot.
pub(super) fn of_new_parts(ledger: &Ledger, passage: &mut Passage<'_>, clocks: ClocksId) -> Content {
    let new_lots = ledger.clocks.all(clocks).iter().filter_map(|restart| restart.new_lot);
    new_lots.fold(Content::NOTHING, |content, new_lot| {
        let new = passage.into(new_lot).content;
        // A part of a lot that only partly contains it: surely only where all of it does.
        let without = if new.without <= 0.0 { 0.0 } else { f64::INFINITY };
        content.or(Content { without, ..new })
    })
}
