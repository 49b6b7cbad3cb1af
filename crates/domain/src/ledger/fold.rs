//! The state of the fold: places with what they hold, and the spells that leave them.

use std::collections::{BTreeMap, BTreeSet};

use rayon::slice::ParallelSliceMut as _;
use rustc_hash::FxHashMap;

use super::books::Books;
use super::by_name::ByName;
use super::clocks::Clocks;
use super::holding::{Cohort, Holding, TakeOrder, on_books};
use super::replacement::{AllDue, Around};
use super::serials::{Serials, Stays};
use super::{Discrepancy, Ledger, Spell};
use crate::field::{Day, EventFacts, Field, Id, LotId, MovementFacts, PartId, Stock, UnitId};
use crate::movement::MovementKind;

/// Where a stock lies: at a unit, or (`None`) returned and waiting.
pub(super) type Place = (Stock, Option<UnitId>);

/// The fold over days.
pub(super) struct Fold<'a> {
    pub(super) field: &'a Field,
    pub(super) names: ByName,
    pub(super) order: TakeOrder,
    pub(super) places: FxHashMap<Place, Holding>,
    /// Places where items of the best account came to, since it was last emptied.
    pub(super) filled: Vec<Place>,
    /// Stocks of one part at one place.
    pub(super) at: FxHashMap<(Option<UnitId>, PartId), Vec<Stock>>,
    /// Those of them whose lot is not known.
    pub(super) unknown_at: FxHashMap<(Option<UnitId>, PartId), Vec<Stock>>,
    /// Units out of service that hold a stock.
    pub(super) stores: FxHashMap<Stock, Vec<UnitId>>,
    /// New stock of a lot that no arrival records: what is left of the quantity made, if that is known.
    pub(super) unrecorded: FxHashMap<Stock, Option<u32>>,
    /// Lots that items of others are converted to, and since when.
    pub(super) converted_since: FxHashMap<Stock, Day>,
    /// Those of them that a store, depot or repair unit converts to.
    pub(super) mended_since: FxHashMap<Stock, Day>,
    pub(super) lost: FxHashMap<(Stock, UnitId), Vec<Cohort>>,
    pub(super) first_seen: FxHashMap<Stock, Day>,
    pub(super) clocks: Clocks,
    pub(super) replaced_by_conversion: FxHashMap<(Stock, LotId), Vec<PartId>>,
    /// Each part that was replaced with everything inside it.
    pub(super) inside: FxHashMap<PartId, Vec<PartId>>,
    /// Each part that was replaced on items of no known lot with what it may be inside of.
    pub(super) around: FxHashMap<PartId, Around>,
    /// Replacements of the day that are still to be placed.
    pub(super) due: AllDue,
    pub(super) stays: Stays,
    spells: Vec<Spell>,
    pub(super) discrepancies: Vec<Discrepancy>,
    shelf_item_days: u64,
    /// Items issued for the first time.
    pub(super) first_issues: BTreeMap<(Stock, Day), u64>,
}

/// Folds the books up to and including `as_of`. The order of rows does not matter.
pub fn fold(field: &Field, as_of: Day, order: TakeOrder) -> Ledger {
    fold_wanted(field, as_of, order, |_| true)
}

/// Folds the books of some parts alone, which is quicker; items of other parts can't be mistaken for theirs. Where
/// items of one part are converted into another, both must be among them.
pub fn fold_parts(field: &Field, as_of: Day, order: TakeOrder, parts: &BTreeSet<PartId>) -> Ledger {
    fold_wanted(field, as_of, order, |part| parts.contains(&part))
}

/// What the books say of one day.
#[derive(Clone, Copy, Default)]
struct OfDay<'a> {
    movements: &'a [&'a MovementFacts],
    events: &'a [&'a EventFacts],
}

fn fold_wanted(field: &Field, as_of: Day, order: TakeOrder, wanted: impl Fn(PartId) -> bool) -> Ledger {
    let mut movements: Vec<&MovementFacts> =
        field.movements.iter().filter(|m| m.day <= as_of && wanted(super::part_of(field, m.stock))).collect();
    let names = ByName::new(field);
    movements.sort_by_cached_key(|m| (m.day, super::sources::phase(field, m), names.movement(m)));
    let mut fold = Fold::new(field, names, order, &movements);
    let mut events: Vec<&EventFacts> =
        field.events.iter().filter(|e| e.day <= as_of && fold.concerns(e, &wanted)).collect();
    events.sort_by_cached_key(|event| fold.names.event(event));
    let mut days: BTreeMap<Day, OfDay<'_>> = BTreeMap::new();
    for movements in movements.chunk_by(|a, b| a.day == b.day) {
        days.insert(movements[0].day, OfDay { movements, events: &[] });
    }
    for events in events.chunk_by(|a, b| a.day == b.day) {
        days.entry(events[0].day).or_default().events = events;
    }
    for (day, OfDay { movements, events }) in days {
        let counts = movements.partition_point(|m| m.kind != MovementKind::Count);
        fold.count_converted(movements);
        fold.fall_due(events);
        fold.apply_day(&movements[..counts]);
        fold.replace_the_rest();
        fold.recount(day, &movements[counts..]);
    }
    fold.finish(as_of)
}

impl<'a> Fold<'a> {
    pub(super) fn new(
        field: &'a Field,
        names: ByName,
        order: TakeOrder,
        movements: &[&MovementFacts],
    ) -> Self {
        let mut fold = Self {
            field,
            names,
            order,
            places: FxHashMap::default(),
            filled: Vec::new(),
            at: FxHashMap::default(),
            unknown_at: FxHashMap::default(),
            stores: FxHashMap::default(),
            unrecorded: FxHashMap::default(),
            converted_since: FxHashMap::default(),
            mended_since: FxHashMap::default(),
            lost: FxHashMap::default(),
            first_seen: FxHashMap::default(),
            clocks: Clocks::default(),
            replaced_by_conversion: FxHashMap::default(),
            inside: FxHashMap::default(),
            around: FxHashMap::default(),
            due: AllDue::default(),
            stays: Stays::new(field),
            spells: Vec::new(),
            discrepancies: movements.iter().flat_map(|m| Discrepancy::before_made(field, m)).collect(),
            shelf_item_days: 0,
            first_issues: BTreeMap::new(),
        };
        for movement in movements {
            fold.first_seen.entry(movement.stock).or_insert(movement.day);
            if let Stock::Lot(lot) = movement.stock {
                fold.unrecorded.entry(movement.stock).or_insert(field.lots[lot].quantity);
            } else {
                fold.unrecorded.entry(movement.stock).or_insert(None);
            }
        }
        for movement in movements {
            let arrives = movement.kind == MovementKind::Receive
                || (movement.kind == MovementKind::Opening && !fold.in_service(Some(movement.unit)));
            if arrives {
                fold.unrecorded.remove(&movement.stock);
            }
            if let Some(to) = movement.to_lot.map(Stock::Lot) {
                // Movements come by day.
                fold.converted_since.entry(to).or_insert(movement.day);
                if !fold.in_service(Some(movement.unit)) {
                    fold.mended_since.entry(to).or_insert(movement.day);
                }
            }
        }
        fold
    }

    /// What is converted to a lot on a day is of its quantity, and was never new of it: of what nobody has issued by then so
    /// much less is left. What went out before is none of it.
    fn count_converted(&mut self, movements: &[&MovementFacts]) {
        for movement in movements {
            if let Some(to) = movement.to_lot.map(Stock::Lot)
                && let Some(Some(left)) = self.unrecorded.get_mut(&to)
            {
                *left = left.saturating_sub(movement.quantity);
            }
        }
    }

    pub(super) fn in_service(&self, unit: Option<UnitId>) -> bool {
        unit.is_some_and(|unit| self.field.units[unit].kind.in_service())
    }

    pub(super) fn on_record(&self, place: Place) -> u64 {
        self.places.get(&place).map_or(0, Holding::on_record)
    }

    /// The day, or that on which the lot was made where this is later: before, no item of it can have served.
    pub(super) fn once_made(&self, stock: Stock, day: Day) -> Day {
        super::made_on(self.field, stock).map_or(day, |made| made.max(day))
    }

    /// The holding of a place, made when it is not there yet.
    pub(super) fn holding(&mut self, place: Place, day: Day) -> &mut Holding {
        let in_service = self.in_service(place.1);
        let part = super::part_of(self.field, place.0);
        let since = self.once_made(place.0, day);
        self.places.entry(place).or_insert_with(|| {
            self.at.entry((place.1, part)).or_default().push(place.0);
            if matches!(place.0, Stock::Unknown(..)) {
                self.unknown_at.entry((place.1, part)).or_default().push(place.0);
            }
            if let (Some(unit), false) = (place.1, in_service) {
                self.stores.entry(place.0).or_default().push(unit);
            }
            Holding::new(in_service, since)
        })
    }

    /// Puts items at a place.
    pub(super) fn put(&mut self, place: Place, day: Day, cohort: Cohort) {
        if cohort.books.is_none() {
            return;
        }
        if on_books(&cohort) && cohort.quantity > 0 {
            self.filled.push(place);
            self.wake_due(place.1);
        }
        let entered = self.once_made(place.0, cohort.entered);
        let holding = self.holding(place, day);
        let issued = cohort.issued || holding.in_service;
        holding.put(Cohort { entered, issued, ..cohort });
    }

    /// Takes items from a place: their spell ends and they come out aged.
    pub(super) fn take(
        &mut self,
        place: Place,
        day: Day,
        quantity: impl Into<u64>,
        wanted: impl Fn(&Cohort) -> bool,
    ) -> Vec<Cohort> {
        let Some(holding) = self.places.get_mut(&place) else { return Vec::new() };
        let in_service = holding.in_service;
        let taken = holding.take(quantity.into(), self.order, wanted);
        taken
            .into_iter()
            .map(|cohort| {
                self.close(place, &cohort, day, false);
                age(cohort, day, in_service)
            })
            .collect()
    }

    /// Records the spell of items that leave a place on `to`.
    pub(super) fn close(&mut self, (stock, unit): Place, cohort: &Cohort, to: Day, open: bool) {
        let Some(unit) = unit else {
            if on_books(cohort) {
                let days = u64::try_from(to.0 - cohort.entered.0).unwrap_or(0);
                let item_days = days * u64::from(cohort.quantity);
                self.shelf_item_days = self.shelf_item_days.saturating_add(item_days);
            }
            return;
        };
        let worth_keeping = (to > cohort.entered || open) && !cohort.books.is_none();
        if worth_keeping
            && self.in_service(Some(unit))
            && !self.field.is_spare(super::part_of(self.field, stock))
        {
            self.spells.push(Spell {
                stock,
                unit,
                // Items of a lot that is yet to be made are there, and have not served.
                from: cohort.entered.min(to),
                to,
                quantity: cohort.quantity,
                age_days: cohort.age_days,
                clocks: cohort.clocks,
                books: cohort.books,
                age_known: cohort.age_known,
                open,
            });
        }
    }

    pub(super) fn finish(mut self, as_of: Day) -> Ledger {
        let mut held = Vec::new();
        for (place, holding) in std::mem::take(&mut self.places) {
            for cohort in holding.cohorts() {
                self.close(place, cohort, as_of, true);
            }
            held.extend(holding.held(place, &mut self.clocks));
        }
        self.spells.par_sort_unstable();
        self.discrepancies.sort_unstable();
        held.sort_unstable();
        let lot_begins =
            super::begins(&self.spells, self.field.lots.len(), |spell| spell.lot().map(Id::index));
        Ledger {
            as_of,
            spells: self.spells,
            lot_begins,
            clocks: self.clocks,
            serials: Serials::new(self.field, self.stays, as_of),
            discrepancies: self.discrepancies,
            held,
            shelf_item_days: self.shelf_item_days,
            first_issues: self
                .first_issues
                .into_iter()
                .map(|((stock, day), items)| (stock, day, items))
                .collect(),
        }
    }
}

/// Items as they are on `day` after their time at a place.
pub(super) fn age(cohort: Cohort, day: Day, in_service: bool) -> Cohort {
    let days = if in_service { (day.0 - cohort.entered.0).max(0) } else { 0 };
    Cohort { entered: day, age_days: cohort.age_days + days, ..cohort }
}

/// Books of items that a movement shows to exist though none was on record.
pub(super) const SHOWN: Books = Books::BEST.with(Books::MOST);
