//! Parts that start anew by an event, on items that the books have somewhere.

use std::collections::{BTreeMap, BTreeSet, HashSet};

use super::books::Books;
use super::clocks::Restart;
use super::conversion::contents;
use super::fold::{Fold, Place, age};
use super::holding::Cohort;
use super::sources::{Source, Which};
use super::{Discrepancy, part_of, short};
use crate::event::EventKind;
use crate::field::{EventFacts, Field, LotId, PartId, RevisionId, Stock, UnitId};
use crate::movement::MovementKind;

/// What a replacement is on: any items that have the part, or items of one part because their lot is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum On {
    AnyWith(PartId),
    Item(PartId),
}

/// A replacement that is not placed yet, or not all of it.
#[derive(Clone, Copy, Debug)]
struct Due {
    event: EventFacts,
    part: PartId,
    /// The lot of the items, where known.
    lot: Option<LotId>,
    left: u32,
    /// Whether some of the items have been found: from then on those that are done already are not counted again.
    begun: bool,
}

/// What is due at one unit.
#[derive(Debug, Default)]
pub(super) struct DueThere {
    list: Vec<Due>,
    /// Whether anything came there since it was last looked for.
    came: bool,
}

/// The replacements of one day that are still to be placed.
pub(super) type AllDue = BTreeMap<(UnitId, On), DueThere>;

/// What a part may be inside of, at any depth.
#[derive(Debug)]
pub(super) struct Around {
    revisions: HashSet<RevisionId>,
    /// Their parts.
    parts: Vec<PartId>,
    /// The end item, if there is but one and it is folded.
    item: Option<PartId>,
}

impl Around {
    fn new(field: &Field, part: PartId, wanted: impl Fn(PartId) -> bool) -> Self {
        let mut todo = field.parts[part].revisions.clone();
        let mut seen: HashSet<RevisionId> = HashSet::new();
        while let Some(next) = todo.pop() {
            todo.extend(field.revisions[next].parents.iter().copied().filter(|&parent| seen.insert(parent)));
        }
        let mut parts: Vec<PartId> = seen.iter().map(|&one| field.revisions[one].part).collect();
        parts.sort_unstable();
        parts.dedup();
        let mut items = parts.iter().copied().filter(|&part| field.is_item(part));
        let item = items.next().filter(|&item| items.next().is_none() && wanted(item));
        Self { revisions: seen, parts, item }
    }
}

impl Fold<'_> {
    fn lot_of(&self, event: &EventFacts) -> Option<LotId> {
        event.lot.or_else(|| self.stays.lot_on(event.serial?, event.day))
    }

    /// Whether an event is a replacement on items of parts that are folded. One on items of no known lot looks at whatever its
    /// unit holds that has the part.
    pub(super) fn concerns(&mut self, event: &EventFacts, wanted: impl Fn(PartId) -> bool) -> bool {
        let (EventKind::PartReplaced, Some(part)) = (event.kind, event.part) else { return false };
        let field = self.field;
        if let Some(lot) = self.lot_of(event) {
            return wanted(field.part_of_lot(lot));
        }
        let around = self.around.entry(part).or_insert_with(|| Around::new(field, part, &wanted));
        around.parts.is_empty() || around.parts.iter().any(|&part| wanted(part))
    }

    /// Takes up the replacements of a day. They are placed on items before these leave, or when the day is over.
    pub(super) fn fall_due(&mut self, events: &[&EventFacts]) {
        for &&event in events {
            let Some(part) = event.part else { continue };
            let lot = self.lot_of(&event);
            let on = lot.map_or(On::AnyWith(part), |lot| On::Item(self.field.part_of_lot(lot)));
            let there = self.due.entry((event.unit, on)).or_default();
            there.came = true;
            there.list.push(Due { event, part, lot, left: event.quantity, begun: false });
        }
    }

    /// Something came to a place.
    pub(super) fn wake_due(&mut self, at: Option<UnitId>) {
        let field = self.field;
        for ((unit, _), there) in &mut self.due {
            there.came |= may_lie(field, *unit, at);
        }
    }

    /// Places what is due on items that a movement is about to take, so that a part is replaced after its item came to a unit
    /// and before it leaves. Says whether anything was due.
    pub(super) fn replace_before(&mut self, quantity: u32, sources: &[Source]) -> bool {
        if self.due.is_empty() {
            return false;
        }
        let mut left = u64::from(quantity);
        let mut due: BTreeSet<(UnitId, On)> = BTreeSet::new();
        for source in sources {
            if left == 0 {
                break;
            }
            let there = self.available(std::slice::from_ref(source));
            left = left.saturating_sub(there);
            if let Source::Place(place, _) = *source
                && there > 0
            {
                due.extend(self.due_on(place));
            }
        }
        for &key in &due {
            self.place_due(key);
        }
        !due.is_empty()
    }

    fn due_on(&self, (stock, at): Place) -> Vec<(UnitId, On)> {
        let item = part_of(self.field, stock);
        let is_on = |on: On| match on {
            On::Item(part) => part == item,
            On::AnyWith(part) => self.has_part(stock, part),
        };
        let due = self.due.iter().filter(|(_, there)| there.came).map(|(&key, _)| key);
        due.filter(|&(unit, on)| may_lie(self.field, unit, at) && is_on(on)).collect()
    }

    fn place_due(&mut self, key: (UnitId, On)) {
        let Some(there) = self.due.get_mut(&key) else { return };
        let mut list = std::mem::take(&mut there.list);
        for due in &mut list {
            self.place(due);
        }
        list.retain(|due| due.left > 0);
        if list.is_empty() {
            self.due.remove(&key);
        } else {
            // What was put back with its new part is nothing new there.
            self.due.insert(key, DueThere { list, came: false });
        }
    }

    /// Places what is still due after the movements of the day.
    pub(super) fn replace_the_rest(&mut self) {
        let mut shown = Vec::new();
        for there in std::mem::take(&mut self.due).into_values() {
            for mut due in there.list {
                self.place(&mut due);
                if due.left > 0 {
                    shown.extend(self.show(&due));
                }
            }
        }
        // Only now: what one line shows is not what the next is on.
        for (due, place, cohort) in shown {
            self.put_renewed(&due, place, cohort);
        }
    }

    /// Replaces the part on items that have the first one still, the longest in service first; then on others.
    fn place(&mut self, due: &mut Due) {
        let sources = self.replaced_among(due);
        let places: BTreeSet<Place> = sources.iter().map(|&(place, _)| place).collect();
        let on_record: u64 = places.iter().map(|&place| self.on_record(place)).sum();
        let done = self.renew(due, &sources);
        let found = if due.begun { done } else { done.max(short(on_record)) };
        due.begun |= on_record > 0;
        due.left = due.left.saturating_sub(found);
    }

    fn renew(&mut self, due: &Due, sources: &[(Place, Which)]) -> u32 {
        let (day, mut left) = (due.event.day, due.left);
        for first_one in [true, false] {
            for &(place, which) in sources {
                let in_service = self.in_service(place.1);
                let clocks = std::mem::take(&mut self.clocks);
                // Items with a new part already are taken only when no other is left, and not those done just now.
                let is_next = |c: &Cohort| match clocks.of(c.clocks, due.part) {
                    None => first_one,
                    Some(restart) => !first_one && restart.at_age_days < age(*c, day, in_service).age_days,
                };
                let taken = self.take(place, day, left, |c| which.wants(c) && is_next(c));
                self.clocks = clocks;
                for cohort in taken {
                    left -= cohort.quantity;
                    self.put_renewed(due, place, cohort);
                }
            }
        }
        due.left - left
    }

    /// Puts items back with their new part; under the lot that the line names, for who wrote it read the label.
    fn put_renewed(&mut self, due: &Due, place: Place, cohort: Cohort) {
        let (field, part, at_age_days) = (self.field, due.part, cohort.age_days);
        let inside = self.inside.entry(part).or_insert_with(|| with_inside(field, part)).clone();
        let restart = |one: PartId| {
            let new_lot = due.event.new_lot.filter(|_| one == part);
            Restart { part: one, at_age_days, new_lot, by_conversion: false }
        };
        let cohort = self.restarted(cohort, inside.into_iter().map(restart));
        let stock = due.lot.map_or(place.0, Stock::Lot);
        self.put((stock, place.1), due.event.day, cohort);
    }

    /// What is due though nothing is on record for it: a discrepancy. An event moves nothing, and its number may be wrong, so that
    /// the items stand among the most that may be there, if it can be told what they are, and not in the best account.
    fn show(&mut self, due: &Due) -> Vec<(Due, Place, Cohort)> {
        let Due { event, part, left, .. } = *due;
        let of_no_lot = || Some(Stock::Unknown(self.around.get(&part)?.item?, None));
        let stock = due.lot.map(Stock::Lot).or_else(of_no_lot);
        self.discrepancies.push(Discrepancy {
            day: event.day,
            unit: event.unit,
            stock: stock.unwrap_or(Stock::Unknown(part, None)),
            kind: MovementKind::Convert,
            is_event: true,
            on_record: event.quantity - left,
            stated: event.quantity,
            made_on: None,
        });
        let Some(stock) = stock else { return Vec::new() };
        let place = (stock, Some(event.unit));
        let overtaken = self.overtake(place, event.day, left).into_iter();
        overtaken.map(|cohort| (*due, place, Cohort { books: Books::MOST, ..cohort })).collect()
    }

    /// Where the items may be whose part was replaced at a unit: there, at a store among what was returned too, and of a known
    /// lot among those of none. New items that nobody saw are not among them.
    fn replaced_among(&self, due: &Due) -> Vec<(Place, Which)> {
        let unit = due.event.unit;
        if let Some(lot) = due.lot {
            let held = self.held(MovementKind::Convert, Stock::Lot(lot), unit);
            let place = |source| match source {
                Source::Place(place, which) => Some((place, which)),
                Source::Unrecorded(_) => None,
            };
            return held.into_iter().filter_map(place).collect();
        }
        let here = self.with_part(due.part, Some(unit));
        if self.in_service(Some(unit)) {
            return self.by_rank(here.iter().map(|&place| (place, Which::Any)));
        }
        let returned = self.with_part(due.part, None);
        let used = here.iter().map(|&place| (place, Which::Used));
        let mut sources = self.by_rank(used.chain(returned.into_iter().map(|place| (place, Which::Any))));
        sources.extend(self.by_rank(here.iter().map(|&place| (place, Which::New))));
        sources
    }

    /// Where stocks that have a part are on record at a unit, or among what was returned.
    fn with_part(&self, part: PartId, at: Option<UnitId>) -> Vec<Place> {
        let around = self.around.get(&part).map_or(&[][..], |around| around.parts.as_slice());
        let stocks = around.iter().filter_map(|&item| self.at.get(&(at, item))).flatten();
        let places = stocks.map(|&stock| (stock, at));
        places.filter(|&place| self.on_record(place) > 0 && self.has_part(place.0, part)).collect()
    }

    fn by_rank(&self, sources: impl Iterator<Item = (Place, Which)>) -> Vec<(Place, Which)> {
        let mut sources: Vec<(Place, Which)> = sources.collect();
        sources.sort_unstable_by_key(|&(place, _)| (self.turn_of(place), self.names.place(place)));
        sources
    }

    fn has_part(&self, stock: Stock, part: PartId) -> bool {
        let Some(around) = self.around.get(&part) else { return false };
        let has = |revision: &RevisionId| around.revisions.contains(revision);
        match stock {
            Stock::Lot(lot) => has(&self.field.lots[lot].revision),
            Stock::Unknown(item, _) => self.field.parts[item].revisions.iter().any(has),
        }
    }

    pub(super) fn restarted(
        &mut self,
        cohort: Cohort,
        restarts: impl IntoIterator<Item = Restart>,
    ) -> Cohort {
        let restarts = restarts.into_iter();
        let clocks = restarts.fold(cohort.clocks, |clocks, restart| self.clocks.restart(clocks, restart));
        Cohort { clocks, ..cohort }
    }
}

/// Whether items whose part is replaced at a unit may lie at a place: there, and for a store among what was returned.
fn may_lie(field: &Field, unit: UnitId, at: Option<UnitId>) -> bool {
    at == Some(unit) || (at.is_none() && !field.units[unit].kind.in_service())
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
