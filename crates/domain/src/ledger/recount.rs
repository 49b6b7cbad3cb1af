//! Counts: what somebody counted restates the books, and the difference puts the time since the last count in doubt.

use super::Discrepancy;
use super::books::Books;
use super::fold::{Fold, Place};
use super::holding::{Cohort, on_books};
use super::sources::Source;
use crate::field::{Day, MovementFacts, PartId, Stock, UnitId};
use crate::movement::MovementKind;

/// One counted stock with what was on record.
struct Counted {
    place: Place,
    on_record: u32,
    stated: u32,
}

impl Counted {
    const fn missing(&self) -> u32 {
        self.on_record.saturating_sub(self.stated)
    }
    const fn surplus(&self) -> u32 {
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
        // Two counts of the same stock on one day: the larger stands.
        let mut last: Vec<&MovementFacts> = Vec::new();
        for count in counts {
            match last.last_mut() {
                Some(previous) if (previous.unit, previous.stock) == (count.unit, count.stock) => {
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

    fn recount_part(&mut self, day: Day, counts: &[&MovementFacts]) {
        let mut counted: Vec<Counted> = Vec::new();
        for count in counts {
            let place = (count.stock, Some(count.unit));
            if matches!(count.stock, Stock::Unknown(..)) {
                counted.extend(self.count_of_all_lots(count));
            } else {
                counted.push(Counted { place, on_record: self.on_record(place), stated: count.quantity });
            }
        }
        let missing: u32 = counted.iter().map(Counted::missing).sum();
        let surplus: u32 = counted.iter().map(Counted::surplus).sum();
        let swapped = missing.min(surplus);
        let (mut swapped_out, mut swapped_in) = (swapped, swapped);
        for count in &counted {
            let expected = count.on_record != count.stated && !self.is_first_sight(count);
            if expected {
                self.discrepancies.push(Discrepancy {
                    day,
                    unit: counts[0].unit,
                    stock: count.place.0,
                    kind: MovementKind::Count,
                    on_record: count.on_record,
                    stated: count.stated,
                });
            }
            self.drop_doubtful(count.place, day);
            let mixed = count.missing().min(swapped_out);
            self.write_off(count, day, swapped, mixed);
            swapped_out -= mixed;
            let mixed = count.surplus().min(swapped_in);
            self.write_up(count, day, swapped, mixed);
            swapped_in -= mixed;
            self.holding(count.place, day).anchor = day;
        }
    }

    /// A store counts new stock whose arrival nobody recorded: that is a first sight, not a disagreement.
    fn is_first_sight(&self, count: &Counted) -> bool {
        !self.in_service(count.place.1) && self.unrecorded.contains_key(&count.place.0) && count.surplus() > 0
    }

    /// A count of a part without its lot covers all lots of it together: what is too few is written off from
    /// those longest in service, what is too many is of unknown lot.
    fn count_of_all_lots(&self, count: &MovementFacts) -> Vec<Counted> {
        let as_retired = MovementFacts { kind: MovementKind::Retire, ..*count };
        let unit = Some(count.unit);
        let places: Vec<Place> = self
            .sources(&as_retired)
            .into_iter()
            .filter_map(|source| match source {
                Source::Place(place, _) if place.1 == unit => Some(place),
                _ => None,
            })
            .collect();
        let total: u32 = places.iter().map(|&place| self.on_record(place)).sum();
        let (mut missing, surplus) =
            (total.saturating_sub(count.quantity), count.quantity.saturating_sub(total));
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
        drop(self.take(place, day, u32::MAX, |c| !on_books(c)));
    }

    fn write_off(&mut self, count: &Counted, day: Day, swapped: u32, mixed: u32) {
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
            let since = Cohort { entered: begins, ..cohort }.aged(in_service, cohort.entered);
            let doubtful = cohort.books.without(Books::LOT_LOW);
            for (quantity, books) in
                split(cohort.quantity, &mut left_mixed, doubtful, doubtful.without(Books::ALL_LOW))
            {
                self.close(count.place, &Cohort { quantity, books, ..since }, day, false);
            }
            let now = Cohort { entered: day, ..since }.aged(in_service, begins);
            let perhaps = cohort.quantity.min(left_high);
            left_high -= perhaps;
            if in_service {
                self.put(count.place, day, Cohort { quantity: perhaps, books: Books::LOT_HIGH, ..now });
            }
        }
    }

    fn write_up(&mut self, count: &Counted, day: Day, swapped: u32, mixed: u32) {
        let surplus = count.surplus();
        if surplus == 0 {
            return;
        }
        let holding = self.holding(count.place, day);
        let (anchor, in_service) = (holding.anchor, holding.in_service);
        let first = holding.cohorts().iter().map(|c| c.entered).min().unwrap_or(anchor).min(anchor);
        let age = |on: Day| if in_service { on.0 - first.0 } else { 0 };
        let before = Cohort {
            entered: anchor,
            age_days: age(anchor),
            age_known: false,
            issued: in_service,
            ..Cohort::new(surplus, anchor)
        };
        let mut left_mixed = mixed;
        for (quantity, books) in split(surplus, &mut left_mixed, Books::LOT_HIGH, Books::MOST) {
            self.close(count.place, &Cohort { quantity, books, ..before }, day, false);
        }
        let after = Cohort { entered: day, age_days: age(day), ..before };
        let mut left_swapped = surplus.min(swapped);
        for (quantity, books) in
            split(surplus, &mut left_swapped, Books::CERTAIN.without(Books::LOT_LOW), Books::CERTAIN)
        {
            self.put(count.place, day, Cohort { quantity, books, ..after });
        }
    }
}

impl Cohort {
    fn aged(self, in_service: bool, since: Day) -> Self {
        let days = if in_service { self.entered.0 - since.0 } else { 0 };
        Self { age_days: self.age_days + days, ..self }
    }
}

/// Splits a quantity into what still counts as mixed up and the rest, each with its books.
fn split(quantity: u32, left: &mut u32, mixed: Books, rest: Books) -> Vec<(u32, Books)> {
    let part = quantity.min(*left);
    *left -= part;
    [(part, mixed), (quantity - part, rest)].into_iter().filter(|(n, _)| *n > 0).collect()
}
