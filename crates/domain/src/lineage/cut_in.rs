//! Which changes a lot was built to, and which cut in with it.

use crate::effectivity::Stage;
use crate::field::{ChangeFacts, ChangeId, Field, LotId};

/// A change that a lot has.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CutIn {
    /// The change.
    pub change: ChangeId,
    /// Whether it cut in with this lot.
    pub is_first: bool,
}

/// The changes whose new revision a lot was made to, or that cut in with it, in the order of the field.
pub fn changes_of(field: &Field, lot: LotId) -> Vec<CutIn> {
    let has = |change: &ChangeFacts| field.lots[lot].revision == change.to;
    field
        .changes
        .iter()
        .map(|(id, change)| (id, is_first(field, change, lot), has(change)))
        .filter(|&(_, is_first, has)| is_first || has)
        .map(|(change, is_first, _)| CutIn { change, is_first })
        .collect()
}

/// As accomplished where that is on record, else as the change's own row says.
fn is_first(field: &Field, change: &ChangeFacts, lot: LotId) -> bool {
    let facts = &field.lots[lot];
    let accomplished = change.effectivity.iter().filter(|row| row.stage == Stage::Accomplished);
    let named = accomplished.filter(|row| row.from_lot.is_some());
    let mut rows = named.peekable();
    if rows.peek().is_none() {
        return change.cut_in_lot == Some(lot);
    }
    rows.any(|row| {
        row.from_lot.as_deref() == Some(&*facts.lot_no)
            && row.maker.is_none_or(|maker| facts.maker == Some(maker))
            && row.share_new > 0.0
    })
}
