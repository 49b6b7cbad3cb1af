//! Parts that start anew: by an event, and by conversion to a lot of another revision.

use std::collections::HashSet;

use super::Discrepancy;
use super::clocks::Restart;
use super::fold::{Fold, Place};
use super::holding::{Cohort, on_books};
use crate::event::EventKind;
use crate::field::{EventFacts, Field, LotId, PartId, RevisionId, Stock};
use crate::movement::MovementKind;

impl Fold<'_> {
    /// Applies a replacement of a part: on items that still have the first one, the longest in service first.
    pub(super) fn replace(&mut self, event: &EventFacts) {
        let (EventKind::PartReplaced, Some(part)) = (event.kind, event.part) else { return };
        let places = self.places_of(event, part);
        let on_record: u32 = places.iter().map(|&place| self.on_record(place)).sum();
        if on_record < event.quantity {
            let stock = places.first().map_or(Stock::Unknown(part, None), |place| place.0);
            self.discrepancies.push(Discrepancy {
                day: event.day,
                unit: event.unit,
                stock: event.lot.map_or(stock, Stock::Lot),
                kind: MovementKind::Convert,
                on_record,
                stated: event.quantity,
            });
        }
        let parts = self.with_inside(part);
        let mut left = event.quantity;
        for first_one in [true, false] {
            for &place in &places {
                let clocks = std::mem::take(&mut self.clocks);
                let wanted = |c: &Cohort| on_books(c) && clocks.of(c.clocks, part).is_none() == first_one;
                // Items with a new part already are taken only when no other is left, and not those done just now.
                let wanted = |c: &Cohort| {
                    wanted(c) && clocks.of(c.clocks, part).is_none_or(|r| r.at_age_days < c.age_days)
                };
                let taken = self.take(place, event.day, left, wanted);
                self.clocks = clocks;
                for cohort in taken {
                    left -= cohort.quantity;
                    let cohort = self.restarted(cohort, &parts, part, event.new_lot);
                    self.put(place, event.day, cohort);
                }
            }
        }
    }

    fn places_of(&self, event: &EventFacts, part: PartId) -> Vec<Place> {
        let unit = Some(event.unit);
        let lot = event.lot.or_else(|| {
            let serial = event.serial?;
            self.field.serials.iter().find(|s| s.serial == serial).map(|s| s.lot)
        });
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

    /// A part and everything inside any of its revisions.
    fn with_inside(&mut self, part: PartId) -> Vec<PartId> {
        if let Some(parts) = self.inside.get(&part) {
            return parts.clone();
        }
        let mut parts = vec![part];
        for &revision in &self.field.parts[part].revisions {
            parts.extend(contents(self.field, revision).iter().map(|&r| self.field.revisions[r].part));
        }
        parts.sort_unstable();
        parts.dedup();
        self.inside.insert(part, parts.clone());
        parts
    }

    fn restarted(
        &mut self,
        cohort: Cohort,
        parts: &[PartId],
        named: PartId,
        new_lot: Option<LotId>,
    ) -> Cohort {
        let mut clocks = cohort.clocks;
        for &part in parts {
            let new_lot = new_lot.filter(|_| part == named);
            clocks = self.clocks.restart(clocks, Restart { part, at_age_days: cohort.age_days, new_lot });
        }
        Cohort { clocks, ..cohort }
    }
}

/// Items converted from one stock to another: parts whose revision differs start anew.
pub(super) fn converted(fold: &mut Fold<'_>, from: Stock, to: Stock, cohort: Cohort) -> Cohort {
    let parts = if let Some(parts) = fold.replaced_by_conversion.get(&(from, to)) {
        parts.clone()
    } else {
        let parts = match (from, to) {
            (Stock::Lot(from), Stock::Lot(to)) => changed_parts(fold.field, from, to),
            _ => Vec::new(),
        };
        fold.replaced_by_conversion.insert((from, to), parts.clone());
        parts
    };
    parts.iter().fold(cohort, |cohort, &part| fold.restarted(cohort, &[part], part, None))
}

/// Parts of `to` that `from` does not have in the same revision. An assembly whose letter only follows that of a
/// part inside it has not been replaced.
pub(crate) fn changed_parts(field: &Field, from: LotId, to: LotId) -> Vec<PartId> {
    let before: HashSet<RevisionId> = contents(field, field.lots[from].revision).into_iter().collect();
    let mut parts: Vec<PartId> = contents(field, field.lots[to].revision)
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
