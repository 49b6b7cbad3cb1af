//! How the items of a lot came to be: made new, or converted from other lots, and which parts these kept.

use std::collections::{BTreeMap, BTreeSet};

use super::passage::pieces_of;
use super::used_by_part;
use crate::field::{Day, Field, LotId, PartId, RevisionId};
use crate::ledger::{changed, contents};

/// Later than any day: everything on record.
pub(crate) const ANY_DAY: Day = Day(i32::MAX);

/// Items of one lot that became another.
pub(crate) struct Converted {
    /// The lot they were of; `None` where it is not known.
    pub(crate) from: Option<LotId>,
    /// How many, up to the day asked.
    pub(crate) items: f64,
    /// How many by all that is known.
    in_all: f64,
    /// Parts that were taken out of them.
    pub(crate) gone: BTreeSet<PartId>,
    /// Parts that they kept, among those that the lot they became was made from.
    kept: BTreeSet<PartId>,
}

impl Converted {
    /// Whether they have a part as they had it before, and not of the lots that the lot they became was made from.
    pub(crate) fn keeps(&self, part: PartId) -> bool {
        self.kept.contains(&part)
    }
}

/// Where the items of a lot came from, up to a day.
pub(crate) struct Origin {
    /// Made new, by all that is known, also by what came later: how many were is a fact of the lot, and what it was made from
    /// has no day. `None` where nothing says how many.
    new: Option<f64>,
    /// Converted, by the lot before.
    pub(crate) converted: Vec<Converted>,
}

impl Origin {
    /// Up to a day, as all that is on record tells today.
    pub(crate) fn of(field: &Field, lot: LotId, on: Day) -> Self {
        Self::known_by(field, lot, on, ANY_DAY)
    }

    /// Up to a day, as what is on record up to another day tells, that day or later.
    pub(crate) fn known_by(field: &Field, lot: LotId, on: Day, known: Day) -> Self {
        let facts = &field.lots[lot];
        let quantity = facts.quantity.filter(|&made| made > 0).map(f64::from);
        if facts.converted_from.is_empty() {
            return Self { new: quantity, converted: Vec::new() };
        }
        let used = used_by_part(field, lot);
        let inside = contents(field, facts.revision);
        let inside: BTreeSet<PartId> = inside.into_iter().map(|r| field.revisions[r].part).collect();
        // Of many lots before, few revisions: the structure is walked once for each.
        let mut gone_of: BTreeMap<RevisionId, BTreeSet<PartId>> = BTreeMap::new();
        let converted = facts.converted_from.iter().map(|(from, days)| {
            let mut taken = |from: LotId| {
                let before = field.lots[from].revision;
                gone_of.entry(before).or_insert_with(|| taken_out(field, before, facts.revision)).clone()
            };
            let gone = from.map(&mut taken).unwrap_or_default();
            // What no structure has may have been added as well as kept, and so may all that lots not known had.
            let is_kept = |part: &PartId| from.is_some() && inside.contains(part) && !gone.contains(part);
            let kept = used.clone().map(|(part, _)| part).filter(is_kept).collect();
            let items =
                |on: Day| days.iter().filter(|day| day.0 <= on).map(|day| f64::from(day.1)).sum::<f64>();
            Converted { from: *from, items: items(on), in_all: items(known), gone, kept }
        });
        let mut origin = Self { new: None, converted: converted.collect() };
        // A lot's quantity may or may not count what was converted into it later. It counts, unless more parts went into the
        // lot than the other items can have.
        let in_all: f64 = origin.converted.iter().map(|converted| converted.in_all).sum();
        let mut new = (quantity.unwrap_or(0.0) - in_all).max(0.0);
        let (mut is_without_items, mut is_left) = (false, false);
        for (part, lots) in used {
            let exchanged = origin.exchanged(part, |converted| converted.in_all);
            let pieces = pieces_of(field, facts.revision, facts.size, part);
            let total: Option<f64> = lots.iter().map(|used| used.1).sum();
            let others = total.zip(pieces).map(|(total, pieces)| total / pieces - exchanged);
            if origin.converted.iter().any(|converted| converted.keeps(part)) {
                new = new.max(others.unwrap_or(0.0));
                is_without_items |= exchanged <= 0.0;
            } else if quantity.is_none() {
                // Of a part that every converted item got, more may have gone into new items, or lie ready for the next.
                is_left |= others.is_some_and(|others| others > 0.5);
            }
        }
        // Some were made new where no converted item has what the lot was made from, and so was all that was there before the
        // first conversion.
        let is_unknown = new <= 0.0 && (is_without_items || is_left || origin.became() <= 0.0);
        origin.new = (!is_unknown).then_some(new);
        origin
    }

    /// Items of the lot, where that is on record.
    pub(crate) fn items(&self) -> Option<f64> {
        self.new.map(|new| new + self.became()).filter(|items| *items > 0.0)
    }

    /// Items that were converted into it, up to the day.
    pub(super) fn became(&self) -> f64 {
        self.converted.iter().map(|converted| converted.items).sum()
    }

    /// Items that have a part of the lots this one was made from: up to the day, and on any day.
    pub(super) fn with_own(&self, part: PartId) -> [Option<f64>; 2] {
        let [by_day, in_all] = [self.exchanged(part, |c| c.items), self.exchanged(part, |c| c.in_all)];
        [self.new.map(|new| new + by_day), self.new.map(|new| new + in_all)]
    }

    /// The share of the items that were made new.
    pub(super) fn share_new(&self) -> f64 {
        self.share_of(self.weight_new())
    }

    /// The share of the items that have a part of the lots this one was made from.
    pub(crate) fn share_with_own(&self, part: PartId) -> f64 {
        self.share_of(self.weight_new() + self.exchanged(part, |converted| converted.items))
    }

    /// The share of the items that were converted from one lot.
    pub(crate) fn share_converted(&self, converted: &Converted) -> f64 {
        if converted.items > 0.0 { self.share_of(converted.items) } else { 0.0 }
    }

    /// Converted items that did not keep a part: they got one of the lots this one was made from.
    fn exchanged(&self, part: PartId, items: fn(&Converted) -> f64) -> f64 {
        self.converted.iter().filter(|converted| !converted.keeps(part)).map(items).sum()
    }

    /// Where nothing says how many were made new, as many as were converted: the same share for both.
    fn weight_new(&self) -> f64 {
        self.new.unwrap_or_else(|| self.converted.iter().map(|converted| converted.in_all).sum())
    }

    fn share_of(&self, items: f64) -> f64 {
        let all = self.weight_new() + self.became();
        if all > 0.0 { items / all } else { 1.0 }
    }
}

/// Parts that items of one revision no longer have once they are of another: those that were replaced, and those that the new
/// revision is without. An assembly stays where something of it does: it has but another number.
fn taken_out(field: &Field, from: RevisionId, to: RevisionId) -> BTreeSet<PartId> {
    let part_of = |revision: RevisionId| field.revisions[revision].part;
    let mut gone: BTreeSet<PartId> = changed(field, from, to).into_iter().collect();
    let after: BTreeSet<RevisionId> = contents(field, to).into_iter().collect();
    // Of a revision without a structure nobody knows what it is without.
    if after.is_empty() {
        return gone;
    }
    let parts: BTreeSet<PartId> = after.iter().copied().map(part_of).collect();
    let stays = |&revision: &RevisionId| {
        let inside = &field.revisions[revision].components;
        parts.contains(&part_of(revision)) || inside.iter().any(|line| after.contains(&line.child))
    };
    let before = contents(field, from);
    gone.extend(before.into_iter().filter(|revision| !stays(revision)).map(part_of));
    gone
}
