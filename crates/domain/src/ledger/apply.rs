//! Applies the movements of one day: those the books can satisfy first, so that inflows come before outflows.

use std::collections::BTreeSet;

use super::books::Books;
use super::conversion::converted;
use super::fold::{Fold, Place, SHOWN};
use super::holding::{Cohort, on_books};
use super::sources::{Drawn, Source};
use super::waiting::Waiting;
use super::{Discrepancy, short};
use crate::field::{Day, MovementFacts, Stock};
use crate::movement::{Condition, MovementKind as K};

impl Fold<'_> {
    /// Applies movements of one day, given in the order of their phases: those that are ready, again and again in that
    /// order; where none is, one for which none of the others would bring anything, as it stands.
    pub(super) fn apply_day(&mut self, movements: &[&MovementFacts]) {
        let mut waiting = Waiting::default();
        let mut next_round = BTreeSet::new();
        self.filled.clear();
        for (row, movement) in movements.iter().enumerate() {
            if self.apply_if_ready(movement) {
                next_round.append(&mut self.woken(&waiting));
            } else {
                waiting.add(self, row, movement);
            }
        }
        loop {
            let mut round = std::mem::take(&mut next_round);
            while let Some(row) = round.pop_first() {
                if waiting.has(row) && self.apply_if_ready(movements[row]) {
                    waiting.remove(row);
                    let mut woken = self.woken(&waiting);
                    round.append(&mut woken.split_off(&row));
                    next_round.append(&mut woken);
                }
            }
            if !next_round.is_empty() {
                continue;
            }
            let Some(row) = waiting.first_unfed() else { return };
            waiting.remove(row);
            let sources = self.sources(movements[row]);
            self.apply(movements[row], &sources);
            next_round.append(&mut self.woken(&waiting));
        }
    }

    fn apply_if_ready(&mut self, movement: &MovementFacts) -> bool {
        let sources = self.sources(movement);
        let ready = sources.is_empty() || self.available(&sources) >= u64::from(movement.quantity);
        if ready {
            self.apply(movement, &sources);
        }
        ready
    }

    /// The movements that may find more after what was just applied.
    fn woken(&mut self, waiting: &Waiting) -> BTreeSet<usize> {
        let mut filled = std::mem::take(&mut self.filled);
        let mut woken = BTreeSet::new();
        if !waiting.is_empty() {
            for &place in &filled {
                woken.append(&mut waiting.woken(self, place));
            }
        }
        filled.clear();
        self.filled = filled;
        woken
    }

    fn apply(&mut self, movement: &MovementFacts, sources: &[Source]) {
        let (day, unit) = (movement.day, movement.unit);
        let found_anew;
        let sources = if self.replace_before(movement.quantity, sources) {
            found_anew = self.sources(movement);
            found_anew.as_slice()
        } else {
            sources
        };
        match movement.kind {
            K::Opening => self.open(movement),
            K::Receive => self.put((movement.stock, Some(unit)), day, Cohort::new(movement.quantity, day)),
            K::Found => self.find_again(movement),
            K::Count => {}
            K::Issue => {
                for Drawn { stock, cohort, .. } in self.drawn(movement, sources) {
                    // What is issued under a lot's name is that lot, wherever it was taken from.
                    let stock = if matches!(movement.stock, Stock::Lot(_)) { movement.stock } else { stock };
                    if !cohort.issued && movement.condition != Some(Condition::Used) {
                        *self.first_issues.entry((stock, day)).or_default() += u64::from(cohort.quantity);
                    }
                    self.put((stock, Some(unit)), day, cohort);
                }
            }
            K::Return => {
                for Drawn { stock, cohort, .. } in self.drawn_at_unit(movement, sources) {
                    self.put((stock, None), day, cohort);
                }
            }
            K::Transfer => {
                for Drawn { stock, cohort, .. } in self.drawn_at_unit(movement, sources) {
                    self.put((stock, movement.to_unit), day, cohort);
                }
            }
            K::Convert => {
                let Some(to_lot) = movement.to_lot else { return };
                for Drawn { stock, cohort, .. } in self.drawn_at_unit(movement, sources) {
                    let cohort = converted(self, stock, to_lot, cohort);
                    self.put((Stock::Lot(to_lot), Some(unit)), day, cohort);
                }
            }
            K::Loss => {
                let lost: Vec<Cohort> =
                    self.drawn_at_unit(movement, sources).iter().map(|drawn| drawn.cohort).collect();
                self.lost.entry((movement.stock, unit)).or_default().extend(lost);
            }
            K::Retire => drop(self.drawn_at_unit(movement, sources)),
        }
    }

    /// What a unit held when records begin: in service since an unknown day, or on the shelf.
    fn open(&mut self, movement: &MovementFacts) {
        let (day, place) = (movement.day, (movement.stock, Some(movement.unit)));
        let in_service = self.in_service(place.1);
        if let Some(Some(left)) = self.unrecorded.get_mut(&movement.stock) {
            *left = left.saturating_sub(movement.quantity);
        }
        let age_known = !in_service;
        self.put(place, day, Cohort { age_known, ..Cohort::new(movement.quantity, day) });
    }

    /// Items that turn up are those lost there, the earliest lost first; else items of unknown age.
    fn find_again(&mut self, movement: &MovementFacts) {
        let (day, place) = (movement.day, (movement.stock, Some(movement.unit)));
        let mut left = movement.quantity;
        if let Some(lost) = self.lost.get_mut(&(movement.stock, movement.unit)) {
            let mut found = Vec::new();
            for cohort in lost.iter_mut() {
                let part = cohort.quantity.min(left);
                cohort.quantity -= part;
                left -= part;
                found.push(Cohort { quantity: part, entered: day, ..*cohort });
            }
            lost.retain(|c| c.quantity > 0);
            for cohort in found {
                self.put(place, day, cohort);
            }
        }
        let unknown = Cohort { age_known: false, issued: true, ..Cohort::new(left, day) };
        self.put(place, day, unknown);
    }

    /// Draws what a movement takes; what is not on record is taken all the same and shown as a discrepancy.
    fn drawn(&mut self, movement: &MovementFacts, sources: &[Source]) -> Vec<Drawn> {
        let on_record = short(self.available(sources)).min(movement.quantity);
        let mut drawn = self.draw(sources, movement.day, movement.quantity);
        let missing = movement.quantity - on_record;
        if missing > 0 {
            self.discrepancies.push(Discrepancy {
                day: movement.day,
                unit: movement.unit,
                stock: movement.stock,
                kind: movement.kind,
                is_event: false,
                on_record,
                stated: movement.quantity,
                made_on: None,
            });
            let place = (movement.stock, Some(movement.unit));
            if movement.kind == K::Issue {
                let cohort = Cohort { books: SHOWN, ..Cohort::new(missing, movement.day) };
                drawn.push(Drawn { stock: movement.stock, from: None, cohort });
            } else {
                let overtaken = self.overtake(place, movement.day, missing).into_iter();
                drawn.extend(overtaken.map(|cohort| Drawn { stock: place.0, from: Some(place), cohort }));
            }
        }
        drawn
    }

    /// As [`Fold::drawn`], for a movement out of a unit; where the lot is not known and several could be meant,
    /// what left is of unknown lot, and what stays carries the doubt.
    fn drawn_at_unit(&mut self, movement: &MovementFacts, sources: &[Source]) -> Vec<Drawn> {
        let unit = Some(movement.unit);
        let mut candidates: Vec<Place> = sources
            .iter()
            .filter_map(|source| match source {
                Source::Place(place, _) if place.1 == unit && self.on_record(*place) > 0 => Some(*place),
                _ => None,
            })
            .collect();
        // The used and the new of a store are two sources and one place.
        candidates.dedup();
        let mut drawn = self.drawn(movement, sources);
        if matches!(movement.stock, Stock::Lot(_)) {
            for drawn in &mut drawn {
                drawn.stock = movement.stock;
            }
            return drawn;
        }
        if candidates.len() > 1 {
            for &place in &candidates {
                let from_here =
                    || drawn.iter().filter(|drawn| drawn.from == Some(place)).map(|drawn| drawn.cohort);
                let quantity: u32 = from_here().map(|cohort| cohort.quantity).sum();
                self.doubt(place, movement.day, movement.quantity - quantity);
                for cohort in from_here() {
                    let maybe_still_here = Cohort { books: Books::LOT_HIGH, ..cohort };
                    self.put(place, movement.day, maybe_still_here);
                }
            }
            for drawn in &mut drawn {
                drawn.stock = movement.stock;
            }
        }
        drawn
    }

    /// Up to `quantity` items of a lot at a place may not be there any more.
    fn doubt(&mut self, place: Place, day: Day, quantity: u32) {
        let sure = |c: &Cohort| on_books(c) && c.books.has(Books::LOT_LOW);
        for cohort in self.take(place, day, quantity, sure) {
            self.put(place, day, Cohort { books: cohort.books.without(Books::LOT_LOW), ..cohort });
        }
    }

    /// Items that left a place though they were not on record there: they were there at most since its books began.
    pub(super) fn overtake(&mut self, place: Place, day: Day, quantity: u32) -> Vec<Cohort> {
        let mut shown = self.take(place, day, quantity, |c| !on_books(c));
        let left = quantity - shown.iter().map(|c| c.quantity).sum::<u32>();
        if left > 0 {
            let since = self.books_begin(place, day);
            let unseen =
                Cohort { books: Books::MOST, age_known: false, issued: true, ..Cohort::new(left, since) };
            self.close(place, &unseen, day, false);
            let days = if self.in_service(place.1) { day.0 - since.0 } else { 0 };
            shown.push(Cohort { entered: day, age_days: days, ..unseen });
        }
        for cohort in &mut shown {
            cohort.books = SHOWN;
        }
        shown
    }

    /// Since when the books of a place are trusted; where it has none, since the lot was first seen or made.
    fn books_begin(&self, place: Place, day: Day) -> Day {
        if let Some(holding) = self.places.get(&place) {
            return holding.anchor.min(day);
        }
        let seen = self.first_seen.get(&place.0).copied().filter(|&seen| seen < day);
        let begin = seen.or(super::made_on(self.field, place.0)).unwrap_or(day);
        self.once_made(place.0, begin).min(day)
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::by_name::ByName;
    use super::super::sources::phase;
    use super::super::waiting::{brought_to, inflows, waits_for};
    use super::*;
    use crate::field::{Field, Id as _, LotId, PartId, UnitId};
    use crate::ledger::{Ledger, TakeOrder};
    use crate::nouns::{builder, lot, part, unit};
    use crate::unit::UnitKind;

    const UNITS: [UnitKind; 4] = [UnitKind::Wearing, UnitKind::Wearing, UnitKind::Store, UnitKind::Depot];

    /// Units of several kinds and an item with four lots.
    fn field() -> Field {
        let mut b = builder();
        for (at, kind) in UNITS.into_iter().enumerate() {
            b.unit(&unit(&format!("U{at}"), kind)).expect("new");
        }
        b.part(&part("PACK", "A", "ITEM")).expect("new");
        for at in 0..4 {
            b.lot(&lot(&format!("L{at}"), "PACK", "A")).expect("new");
        }
        b.build()
    }

    fn any_movement() -> impl Strategy<Value = MovementFacts> {
        let what = (0i32..3, 0..K::ALL.len(), 0usize..5, 0usize..4, 1u32..9, 0usize..4, 0usize..3);
        what.prop_map(|(day, kind, lot, unit, quantity, other, condition)| {
            let kind = K::ALL[kind];
            let lot_of = LotId::from_index;
            MovementFacts {
                day: Day(738_000 + day),
                kind,
                stock: if lot < 4 {
                    Stock::Lot(lot_of(lot))
                } else {
                    Stock::Unknown(PartId::from_index(0), None)
                },
                unit: UnitId::from_index(unit),
                quantity,
                to_unit: (kind == K::Transfer).then(|| UnitId::from_index((unit + 1 + other % 3) % 4)),
                to_lot: (kind == K::Convert).then(|| lot_of((lot + 1 + other % 3) % 4)),
                condition: [None, Some(Condition::New), Some(Condition::Used)][condition]
                    .filter(|_| kind == K::Issue),
                reason: None,
            }
        })
    }

    /// The rule as it reads: all that waits is looked at in every round; where none is ready, one that is fed by none goes on.
    fn look_at_all(fold: &mut Fold<'_>, movements: &[&MovementFacts]) {
        let mut waiting = movements.to_vec();
        while !waiting.is_empty() {
            let before = waiting.len();
            waiting.retain(|movement| !fold.apply_if_ready(movement));
            if waiting.len() == before {
                let feeds = |from: &MovementFacts, to: &MovementFacts| {
                    let waited_for = waits_for(fold, to);
                    let place = brought_to(from).into_iter();
                    place.flat_map(|place| inflows(fold, place)).any(|inflow| waited_for.contains(&inflow))
                };
                let fed = |to: &MovementFacts| waiting.iter().any(|from| feeds(from, to));
                let movement = waiting.remove(waiting.iter().position(|row| !fed(row)).unwrap_or(0));
                let sources = fold.sources(movement);
                fold.apply(movement, &sources);
            }
        }
    }

    fn folded(field: &Field, rows: &[MovementFacts], order: TakeOrder, by_rule: bool) -> Ledger {
        let mut rows: Vec<&MovementFacts> = rows.iter().collect();
        rows.sort_unstable_by_key(|m| (m.day, phase(field, m), **m));
        let mut fold = Fold::new(field, ByName::new(field), order, &rows);
        for group in rows.chunk_by(|a, b| a.day == b.day) {
            if by_rule {
                look_at_all(&mut fold, group);
            } else {
                fold.apply_day(group);
            }
        }
        fold.finish(Day(738_100))
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 1000, ..ProptestConfig::default() })]

        #[test]
        fn looking_only_at_what_was_waited_for_leaves_the_books_as_looking_at_all(
            rows in prop::collection::vec(any_movement(), 0..60),
            newest in any::<bool>(),
        ) {
            let field = field();
            let order = if newest { TakeOrder::NewestFirst } else { TakeOrder::OldestFirst };
            let quick = folded(&field, &rows, order, false);
            let slow = folded(&field, &rows, order, true);
            prop_assert_eq!(quick.spells, slow.spells);
            prop_assert_eq!(quick.held, slow.held);
            prop_assert_eq!(quick.discrepancies, slow.discrepancies);
        }
    }
}
