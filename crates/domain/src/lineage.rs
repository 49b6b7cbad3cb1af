//! Lineage: what a lot was made from, where it went, and who holds it, through any number of lots.
//!
//! Exact: what is on record, and the fewest and the most items of a lot that can contain another by the quantities
//! recorded. A convention: of several lots of one part that went into a lot, each has its share by quantity, or all
//! the same share where a quantity is not known; which item has which is not on record.

mod content;
mod cut_in;
mod origin;
mod passage;
mod replaced;
mod revisions;
mod tree;
mod unknown_lot;
mod whereabouts;

pub use content::Content;
pub use cut_in::{CutIn, changes_of};
pub(crate) use origin::{ANY_DAY, Origin};
pub use revisions::{RevisionStep, revisions_of};
pub use tree::{Kin, Lineage, Step, made_from, went_into};
pub use unknown_lot::UnknownLot;
pub use whereabouts::{Held, Holder, Whereabouts};

use crate::field::{Field, LotId, PartId};

/// Lineage deeper than this is taken as a circle.
pub(crate) const DEEPEST: usize = 12;

/// What a lot was made from, by part: the lots of one part share it.
pub(crate) fn used_by_part(
    field: &Field,
    lot: LotId,
) -> impl Iterator<Item = (PartId, &[(LotId, Option<f64>)])> + Clone {
    let part = |used: &(LotId, Option<f64>)| field.part_of_lot(used.0);
    field.lots[lot].used.chunk_by(move |a, b| part(a) == part(b)).map(move |lots| (part(&lots[0]), lots))
}

/// The share of each of several lots of one part, by quantity, or the same for all where a quantity is not known.
pub(crate) fn shares(quantities: impl Iterator<Item = Option<f64>> + Clone) -> impl Iterator<Item = f64> {
    let all: Option<f64> = quantities.clone().sum();
    let lots = quantities.clone().count();
    quantities.map(move |own| match (all, own) {
        (Some(all), Some(own)) if all > 0.0 => own / all,
        _ => 1.0 / lots as f64,
    })
}
