//! Counts: what somebody counted restates the books, and the difference puts the time since the last count in doubt.

use std::collections::BTreeSet;

use super::books::Books;
use super::fold::{Fold, Place, age};
use super::holding::{Cohort, on_books};
use super::{Discrepancy, short};
use crate::field::{Day, MovementFacts, PartId, Stock, UnitId};
use crate::movement::MovementKind;

/// One counted stock with what was on record.
struct Counted {
    place: Place,
    on_record: u64,
    stated: u64,
}

impl Counted {
    const fn missing(&self) -> u64 {
        self.on_record.saturating_sub(self.stated)
    }
    const fn surplus(&self) -> u64 {
        self.stated.saturating_sub(self.on_record)
    }
}

impl Fold<'_> {
    /// Applies the counts of one day. Too few of one lot and too many of another of the same part at the same
    /// unit are taken as labels mixed up, as far as they balance.
    pub(super) fn recount(&mut self, day: Day, counts: &[&MovementFacts]) {
        let mut counts = counts.to_vec();
        let part = |m: &MovementFacts| -> (UnitId, PartId) { (m.unit, super::part_of(self.field, m.stock)) };
        counts.sort_by_key(|m| (part(m), m.stock, m.quantity));
        // Two counts of the same stock on one day: the larger stands, and the smaller is told of.
        let mut last: Vec<&MovementFacts> = Vec::new();
        for count in counts {
            match last.last_mut() {
                Some(previous) if (previous.unit, previous.stock) == (count.unit, count.stock) => {
                    if previous.quantity < count.quantity {
                        self.disagree(
                            previous,
                            count.stock,
                            (count.quantity.into(), previous.quantity.into()),
                        );
                    }
                    *previous = count;
                }
                _ => last.push(count),
            }
        }
        let groups: Vec<Vec<&MovementFacts>> =
            last.chunk_by(|a, b| part(a) == part(b)).map(<[&MovementFacts]>::to_vec).collect();
        for group in groups {
            self.recount_part(day, &group);
        }
    }

    /// Counts of one part at one unit: first those by lot, then those without, of one size before those of any.
    fn recount_part(&mut self, day: Day, counts: &[&MovementFacts]) {
        for count in counts.iter().filter(|count| matches!(count.stock, Stock::Lot(_))) {
            let here = self.on_record((count.stock, Some(count.unit)));
            self.put_away(count, count.stock, u64::from(count.quantity).saturating_sub(here));
        }
        self.name_those_of_unknown_lot(day, counts);
        let mut counted: Vec<Counted> = Vec::new();
        let mut named: BTreeSet<Place> = counts.iter().map(|c| (c.stock, Some(c.unit))).collect();
        let is_named = |stock| matches!(stock, Stock::Lot(_));
        for count in counts.iter().filter(|count| is_named(count.stock)) {
            let place = (count.stock, Some(count.unit));
            let (on_record, stated) = (self.on_record(place), u64::from(count.quantity));
            counted.push(Counted { place, on_record, stated });
        }
        let mut without: Vec<&MovementFacts> =
            counts.iter().copied().filter(|count| !is_named(count.stock)).collect();
        without.sort_by_key(|count| super::size_of(self.field, count.stock).is_none());
        for count in without {
            counted.extend(self.count_of_the_rest(count, &mut named));
        }
        let missing: u64 = counted.iter().map(Counted::missing).sum();
        let surplus: u64 = counted.iter().map(Counted::surplus).sum();
        let swapped = missing.min(surplus);
        let (mut swapped_out, mut swapped_in) = (swapped, swapped);
        for count in &counted {
            if count.on_record != count.stated && !self.is_first_sight(count) {
                self.disagree(counts[0], count.place.0, (count.on_record, count.stated));
            }
            self.drop_doubtful(count.place, day);
            let mixed = count.missing().min(swapped_out);
            self.write_off(count, day, swapped, mixed);
            swapped_out -= mixed;
            let mixed = count.surplus().min(swapped_in);
            self.write_up(count, day, swapped, mixed);
            self.note_as_seen(count);
            swapped_in -= mixed;
            let since = self.once_made(count.place.0, day);
            self.holding(count.place, day).anchor = since;
        }
    }

    /// A count that does not agree with what was on record.
    fn disagree(&mut self, count: &MovementFacts, stock: Stock, (on_record, stated): (u64, u64)) {
        self.discrepancies.push(Discrepancy {
            day: count.day,
            unit: count.unit,
            stock,
            kind: MovementKind::Count,
            is_event: false,
            on_record: short(on_record),
            stated: short(stated),
            made_on: None,
        });
    }

    /// What a store, depot or repair unit counts beyond its records is first of all what came back, for somebody put it away
    /// there: moves up to so many returned items of a stock to who counted them, and says how many.
    fn put_away(&mut self, count: &MovementFacts, stock: Stock, quantity: u64) -> u64 {
        if self.in_service(Some(count.unit)) {
            return 0;
        }
        let mut found = 0;
        for cohort in self.take((stock, None), count.day, quantity, on_books) {
            found += u64::from(cohort.quantity);
            self.put((stock, Some(count.unit)), count.day, cohort);
        }
        found
    }

    /// What is counted of lots beyond their records is next what is there, or at a store came back, of no known lot, for
    /// somebody read the labels: as far as no other lot lacks as many, and no line says that so many of no known lot are there
    /// still.
    fn name_those_of_unknown_lot(&mut self, day: Day, counts: &[&MovementFacts]) {
        let (mut lots, rest): (Vec<&MovementFacts>, Vec<&MovementFacts>) =
            counts.iter().copied().partition(|count| matches!(count.stock, Stock::Lot(_)));
        let sum = |of: &dyn Fn(&MovementFacts) -> u64| -> u64 { lots.iter().map(|count| of(count)).sum() };
        let on_record = |fold: &Self, count: &MovementFacts| fold.on_record((count.stock, Some(count.unit)));
        let surplus = sum(&|count| u64::from(count.quantity).saturating_sub(on_record(self, count)));
        let missing = sum(&|count| on_record(self, count).saturating_sub(u64::from(count.quantity)));
        let mut left = surplus.saturating_sub(missing);
        if !rest.is_empty() {
            let stated: u64 = rest.iter().map(|count| u64::from(count.quantity)).sum();
            let unknown: BTreeSet<Place> = rest
                .iter()
                .flat_map(|count| self.counted_among(count.stock, Some(count.unit)))
                .filter(|place| matches!(place.0, Stock::Unknown(..)))
                .collect();
            let there: u64 = unknown.iter().map(|&place| self.on_record(place)).sum();
            left = left.min(there.saturating_sub(stated));
        }
        // Which lot is first must not hang on the order of rows.
        lots.sort_by_key(|count| match count.stock {
            Stock::Lot(lot) => Some((&self.field.lots[lot].lot_no, lot)),
            Stock::Unknown(..) => None,
        });
        for count in lots {
            let own = (count.stock, Some(count.unit));
            let made = super::made_on(self.field, count.stock);
            // What served before the lot was made is not of it.
            let may_be =
                |c: &Cohort| on_books(c) && made.is_none_or(|made| made.0 <= c.entered.0 - c.age_days);
            let mut places = self.counted_among(count.stock, own.1);
            if !self.in_service(own.1) {
                places.extend(self.counted_among(count.stock, None));
            }
            for place in places {
                let lacking = u64::from(count.quantity).saturating_sub(self.on_record(own)).min(left);
                if place == own || lacking == 0 {
                    continue;
                }
                for cohort in self.take(place, day, lacking, may_be) {
                    left -= u64::from(cohort.quantity);
                    self.put(own, day, cohort);
                }
            }
        }
    }

    /// A store counts new stock whose arrival nobody recorded: that is a first sight, not a disagreement, as long as no more
    /// is counted than is left of what was made.
    fn is_first_sight(&self, count: &Counted) -> bool {
        let unseen = self.unrecorded.get(&count.place.0);
        let may_be = unseen.is_some_and(|left| left.is_none_or(|left| u64::from(left) >= count.surplus()));
        !self.in_service(count.place.1) && count.surplus() > 0 && may_be
    }

    /// What a store has counted is on record there, and can't be issued once more as new stock that nobody saw.
    fn note_as_seen(&mut self, count: &Counted) {
        if !self.in_service(count.place.1)
            && let Some(Some(left)) = self.unrecorded.get_mut(&count.place.0)
        {
            *left = left.saturating_sub(short(count.surplus()));
        }
    }

    /// A count of a part without its lot covers all lots of it together that no other line of the day names: the only line
    /// is the total, beside lines by lot it is the rest. What is too few is written off from those of unknown lot, then
    /// from those longest in service; what is too many is of unknown lot.
    fn count_of_the_rest(&mut self, count: &MovementFacts, named: &mut BTreeSet<Place>) -> Vec<Counted> {
        let own = (count.stock, Some(count.unit));
        let mut places = self.counted_among(count.stock, own.1);
        // What one line without lot has covered is not there for the next.
        places.retain(|&place| place == own || named.insert(place));
        let mut total: u64 = places.iter().map(|&place| self.on_record(place)).sum();
        let stated = u64::from(count.quantity);
        if total < stated {
            let covered: BTreeSet<Place> = places.iter().copied().collect();
            for (stock, _) in self.counted_among(count.stock, None) {
                let here = (stock, own.1);
                // What has a line of its own is counted there.
                if named.contains(&here) && !covered.contains(&here) {
                    continue;
                }
                let found = self.put_away(count, stock, stated - total);
                total += found;
                if found > 0 && !covered.contains(&here) {
                    named.insert(here);
                    places.push(here);
                }
            }
        }
        let (mut missing, surplus) = (total.saturating_sub(stated), stated.saturating_sub(total));
        places
            .into_iter()
            .map(|place| {
                let on_record = self.on_record(place);
                let off = on_record.min(missing);
                missing -= off;
                let up = if place.0 == count.stock { surplus } else { 0 };
                Counted { place, on_record, stated: on_record - off + up }
            })
            .filter(|counted| counted.on_record > 0 || counted.stated > 0)
            .collect()
    }

    /// Items that only the most had here are not here: somebody counted.
    fn drop_doubtful(&mut self, place: Place, day: Day) {
        drop(self.take(place, day, u64::MAX, |c| !on_books(c)));
    }

    fn write_off(&mut self, count: &Counted, day: Day, swapped: u64, mixed: u64) {
        let missing = count.missing();
        let Some(holding) = self.places.get_mut(&count.place) else { return };
        if missing == 0 {
            return;
        }
        let (anchor, in_service) = (holding.anchor, holding.in_service);
        let mut left_mixed = mixed;
        let mut left_high = missing.min(swapped);
        for cohort in holding.take(missing, self.order, on_books) {
            let begins = cohort.entered.max(anchor);
            self.close(count.place, &cohort, begins, false);
            let since = age(cohort, begins, in_service);
            let doubtful = cohort.books.without(Books::LOT_LOW);
            for (quantity, books) in
                split(cohort.quantity, &mut left_mixed, doubtful, doubtful.without(Books::ALL_LOW))
            {
                self.close(count.place, &Cohort { quantity, books, ..since }, day, false);
            }
            let now = age(since, day, in_service);
            let perhaps = cohort.quantity.min(short(left_high));
            left_high -= u64::from(perhaps);
            if in_service {
                self.put(count.place, day, Cohort { quantity: perhaps, books: Books::LOT_HIGH, ..now });
            }
        }
    }

    fn write_up(&mut self, count: &Counted, day: Day, swapped: u64, mixed: u64) {
        // No more than the line says, which is a number.
        let surplus = short(count.surplus());
        if surplus == 0 {
            return;
        }
        let holding = self.holding(count.place, day);
        let (anchor, in_service) = (holding.anchor, holding.in_service);
        let first = holding.cohorts().iter().map(|c| c.entered).min().unwrap_or(anchor).min(anchor);
        let served = |on: Day| if in_service { (on.0 - first.0).max(0) } else { 0 };
        let before = Cohort {
            entered: anchor,
            age_days: served(anchor),
            age_known: false,
            issued: in_service,
            ..Cohort::new(surplus, anchor)
        };
        let mut left_mixed = mixed;
        for (quantity, books) in split(surplus, &mut left_mixed, Books::LOT_HIGH, Books::MOST) {
            self.close(count.place, &Cohort { quantity, books, ..before }, day, false);
        }
        let after = Cohort { entered: day, age_days: served(day), ..before };
        let mut left_swapped = u64::from(surplus).min(swapped);
        for (quantity, books) in
            split(surplus, &mut left_swapped, Books::CERTAIN.without(Books::LOT_LOW), Books::CERTAIN)
        {
            self.put(count.place, day, Cohort { quantity, books, ..after });
        }
    }
}

/// Splits a quantity into what still counts as mixed up and the rest, each with its books.
fn split(quantity: u32, left: &mut u64, mixed: Books, rest: Books) -> Vec<(u32, Books)> {
    let part = quantity.min(short(*left));
    *left -= u64::from(part);
    [(part, mixed), (quantity - part, rest)].into_iter().filter(|(n, _)| *n > 0).collect()
}
