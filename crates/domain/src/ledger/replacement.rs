//! Parts that start anew: by an event, and by conversion to a lot of another revision.

use std::collections::HashSet;

use super::clocks::Restart;
use super::fold::{Fold, Place, age};
use super::holding::{Cohort, on_books};
use super::{Discrepancy, part_of, short};
use crate::event::EventKind;
use crate::field::{EventFacts, Field, LotId, PartId, RevisionId, Stock};
use crate::movement::MovementKind;

impl Fold<'_> {
    /// Applies a replacement of a part: on items that still have the first one, the longest in service first.
    pub(super) fn replace(&mut self, event: &EventFacts) {
        let (EventKind::PartReplaced, Some(part)) = (event.kind, event.part) else { return };
        let places = self.places_of(event, part);
        let on_record: u64 = places.iter().map(|&place| self.on_record(place)).sum();
        if on_record < u64::from(event.quantity) {
            let stock = places.first().map_or(Stock::Unknown(part, None), |place| place.0);
            self.discrepancies.push(Discrepancy {
                day: event.day,
                unit: event.unit,
                stock: event.lot.map_or(stock, Stock::Lot),
                kind: MovementKind::Convert,
                on_record: short(on_record),
                stated: event.quantity,
                made_on: None,
            });
        }
        let field = self.field;
        let parts = self.inside.entry(part).or_insert_with(|| with_inside(field, part)).clone();
        let mut left = event.quantity;
        for first_one in [true, false] {
            for &place in &places {
                let in_service = self.in_service(place.1);
                let clocks = std::mem::take(&mut self.clocks);
                // Items with a new part already are taken only when no other is left, and not those done just now.
                let wanted = |c: &Cohort| match clocks.of(c.clocks, part) {
                    None => on_books(c) && first_one,
                    Some(restart) => {
                        let age_days = age(*c, event.day, in_service).age_days;
                        on_books(c) && !first_one && restart.at_age_days < age_days
                    }
                };
                let taken = self.take(place, event.day, left, wanted);
                self.clocks = clocks;
                for cohort in taken {
                    left -= cohort.quantity;
                    let at_age_days = cohort.age_days;
                    let restart = |&inside: &PartId| {
                        let new_lot = event.new_lot.filter(|_| inside == part);
                        Restart { part: inside, at_age_days, new_lot, by_conversion: false }
                    };
                    let cohort = self.restarted(cohort, parts.iter().map(restart));
                    self.put(place, event.day, cohort);
                }
            }
        }
    }

    fn places_of(&self, event: &EventFacts, part: PartId) -> Vec<Place> {
        let unit = Some(event.unit);
        let lot = event.lot.or_else(|| self.stays.lot_on(event.serial?, event.day));
        if let Some(lot) = lot {
            return vec![(Stock::Lot(lot), unit)];
        }
        let mut places: Vec<Place> = self
            .at
            .iter()
            .filter(|((at, _), _)| *at == unit)
            .flat_map(|(_, stocks)| stocks.iter())
            .filter(|&&stock| self.holds(stock, event.unit) && self.has_part(stock, part))
            .map(|&stock| (stock, unit))
            .collect();
        places.sort_unstable_by_key(|place| {
            (self.places.get(place).and_then(|h| h.next_rank(self.order)), *place)
        });
        places
    }

    fn has_part(&self, stock: Stock, part: PartId) -> bool {
        match stock {
            Stock::Lot(lot) => contents(self.field, self.field.lots[lot].revision)
                .iter()
                .any(|&r| self.field.revisions[r].part == part),
            Stock::Unknown(item, _) => self.field.parts[item].revisions.iter().any(|&revision| {
                contents(self.field, revision).iter().any(|&r| self.field.revisions[r].part == part)
            }),
        }
    }

    fn restarted(&mut self, cohort: Cohort, restarts: impl IntoIterator<Item = Restart>) -> Cohort {
        let restarts = restarts.into_iter();
        let clocks = restarts.fold(cohort.clocks, |clocks, restart| self.clocks.restart(clocks, restart));
        Cohort { clocks, ..cohort }
    }
}

/// A part and everything inside any of its revisions.
pub(super) fn with_inside(field: &Field, part: PartId) -> Vec<PartId> {
    let mut parts = vec![part];
    for &revision in &field.parts[part].revisions {
        parts.extend(contents(field, revision).iter().map(|&r| field.revisions[r].part));
    }
    parts.sort_unstable();
    parts.dedup();
    parts
}

/// Items converted from one stock to a lot: parts whose revision differs start anew.
pub(super) fn converted(fold: &mut Fold<'_>, from: Stock, to: LotId, cohort: Cohort) -> Cohort {
    let field = fold.field;
    let parts = fold.replaced_by_conversion.entry((from, to)).or_insert_with(|| match from {
        Stock::Lot(from) => changed_parts(field, from, to),
        Stock::Unknown(..) => perhaps_changed(field, part_of(field, from), field.lots[to].revision),
    });
    let at_age_days = cohort.age_days;
    let restart = |part| Restart { part, at_age_days, new_lot: None, by_conversion: true };
    let parts = parts.clone();
    fold.restarted(cohort, parts.into_iter().map(restart))
}

/// Parts that items of a part whose lot isn't known get when they are converted to a revision: those of it that another
/// revision they can be of lacks, for what has all of them already would not be converted.
fn perhaps_changed(field: &Field, part: PartId, to: RevisionId) -> Vec<PartId> {
    let others =
        field.parts[part].revisions.iter().filter(|&&other| other != to && !is_later(field, other, to));
    let mut parts: Vec<PartId> = others.flat_map(|&other| changed(field, other, to)).collect();
    parts.sort_unstable();
    parts.dedup();
    parts
}

/// Whether a revision came after another: it replaces it, by however many steps, or was released after it.
fn is_later(field: &Field, one: RevisionId, other: RevisionId) -> bool {
    let released = |revision: RevisionId| field.revisions[revision].released_on;
    let replaced = |&revision: &RevisionId| field.revisions[revision].replaces;
    // A chain that comes back to its beginning is no longer than there are revisions.
    let all = field.parts[field.revisions[one].part].revisions.len();
    std::iter::successors(Some(one), replaced).take(all).any(|before| before == other)
        || released(one).zip(released(other)).is_some_and(|(one, other)| one > other)
}

/// Parts of the lot `to` that the lot `from` does not have in the same revision.
pub(crate) fn changed_parts(field: &Field, from: LotId, to: LotId) -> Vec<PartId> {
    changed(field, field.lots[from].revision, field.lots[to].revision)
}

/// Parts of `to` that `from` does not have in the same revision. An assembly whose letter only follows that of a
/// part inside it has not been replaced.
pub(super) fn changed(field: &Field, from: RevisionId, to: RevisionId) -> Vec<PartId> {
    let before: HashSet<RevisionId> = contents(field, from).into_iter().collect();
    let mut parts: Vec<PartId> = contents(field, to)
        .into_iter()
        .filter(|revision| !before.contains(revision))
        .filter(|&revision| !field.revisions[revision].components.iter().any(|c| before.contains(&c.child)))
        .map(|revision| field.revisions[revision].part)
        .collect();
    parts.sort_unstable();
    parts.dedup();
    parts
}

/// Every revision inside one, at any depth.
pub(crate) fn contents(field: &Field, revision: RevisionId) -> Vec<RevisionId> {
    let mut found = Vec::new();
    let mut seen = HashSet::new();
    let mut todo = vec![revision];
    while let Some(next) = todo.pop() {
        for component in &field.revisions[next].components {
            if seen.insert(component.child) {
                found.push(component.child);
                todo.push(component.child);
            }
        }
    }
    found
}
