//! Lots that a label may mean, for a person to choose from.

use rapidfuzz::distance::levenshtein::{Args, BatchComparator};

use super::{LONG_TEXT, Legible, Number, normalised};
use crate::field::{Day, Field, LotId, PartId, UnitId};
use crate::ledger::Ledger;

/// What a report tells of the lot.
#[derive(Clone, Copy, Debug)]
pub struct Told<'a> {
    /// The item.
    pub item: PartId,
    /// Who reports.
    pub unit: UnitId,
    /// When it was found.
    pub found_on: Day,
    /// What the label says; empty where nothing could be read.
    pub label: &'a str,
}

/// A lot the report may be of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LotCandidate {
    /// The lot.
    pub lot: LotId,
    /// Whether the unit held items of it on that day, by the ledger.
    pub held: bool,
    /// Signs in which its number differs from the label, look-alike ones and those not read not counted; nothing where
    /// there is no label.
    pub differs: Option<usize>,
}

/// At most `most` lots of the item, those the unit held that day first, then by how near their number is to the label.
///
/// A number may differ from the label in two signs, and in one where the label is short; where signs of the label could not be
/// read, only in those. Where no number is near, or there is no label, only lots that the unit held are left.
pub fn lot_candidates(field: &Field, ledger: &Ledger, told: Told<'_>, most: usize) -> Vec<LotCandidate> {
    let there = |at: &&crate::ledger::Spell| {
        at.unit == told.unit && at.from <= told.found_on && told.found_on <= at.to
    };
    let mut held: Vec<LotId> =
        ledger.spells.iter().filter(there).filter_map(crate::ledger::Spell::lot).collect();
    held.sort_unstable();
    held.dedup();
    let look = normalised(told.label);
    let limit = if look.chars().count() >= LONG_TEXT { 2 } else { 1 };
    let comparator = BatchComparator::new(look.chars());
    let args = Args::default().score_cutoff(limit);
    let legible = Legible::of(told.label);
    let differs = |lot_no: &str| {
        let theirs = normalised(lot_no);
        if legible.is_patchy() {
            legible.may_be_part_of(&Number::of(lot_no), &theirs).then_some(0)
        } else {
            comparator.distance_with_args(theirs.chars(), &args)
        }
    };
    let of_item = field.lots.iter().filter(|(lot, _)| field.part_of_lot(*lot) == told.item);
    let all: Vec<LotCandidate> = of_item
        .map(|(lot, facts)| LotCandidate {
            lot,
            held: held.binary_search(&lot).is_ok(),
            differs: differs(&facts.lot_no),
        })
        .collect();
    let mut found: Vec<LotCandidate> = if look.is_empty() {
        Vec::new()
    } else {
        all.iter().copied().filter(|one| one.differs.is_some()).collect()
    };
    if found.is_empty() {
        found =
            all.into_iter().filter(|one| one.held).map(|one| LotCandidate { differs: None, ..one }).collect();
    }
    found.sort_by_key(|one| (!one.held, one.differs, one.lot));
    found.truncate(most);
    found
}
