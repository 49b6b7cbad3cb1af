//! Which changes a lot was built to, and which cut in with it.

use crate::effectivity::Stage;
use crate::field::{ChangeFacts, ChangeId, EffectivityFacts, Field, Found, LotId, PartId};

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
    let mut rows = accomplished(change).peekable();
    if rows.peek().is_none() {
        return change.cut_in_lot == Some(lot);
    }
    rows.any(|row| {
        row.from_lot.as_deref() == Some(&*facts.lot_no)
            && row.maker.is_none_or(|maker| facts.maker == Some(maker))
    })
}

/// Ranges that were built, whole or in part, to the change.
fn accomplished(change: &ChangeFacts) -> impl Iterator<Item = &EffectivityFacts> {
    let rows = change.effectivity.iter().filter(|row| row.stage == Stage::Accomplished);
    rows.filter(|row| row.from_lot.is_some() && row.share_new > 0.0)
}

/// The lot of a part with which a change cut in, where its records name one.
pub(super) fn first_lot_of(field: &Field, change: &ChangeFacts, part: PartId) -> Option<LotId> {
    let named = accomplished(change).filter_map(|row| {
        match field.lot_keys.find(row.from_lot.as_deref()?, row.maker) {
            Found::One(lot) => Some(lot),
            Found::Several | Found::Nothing => None,
        }
    });
    named.chain(change.cut_in_lot).find(|&lot| field.part_of_lot(lot) == part)
}
