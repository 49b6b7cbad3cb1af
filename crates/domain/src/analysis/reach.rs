//! How far a change has reached the items in service, and what it costs to wait for it.

use std::collections::{BTreeMap, HashMap};

use super::holders::Holders;
use super::rate::Rate;
use super::side::{Side, Sides};
use crate::field::{
    ChangeFacts, DAYS_PER_YEAR, Day, Field, LotId, MovementFacts, PartId, SizeId, Stock, UnitId,
};
use crate::ledger::{Books, ClocksId, Ledger, Spell, changed_parts, size_of};
use crate::movement::MovementKind;

/// Items in service on the as-of date that contain the part, by what they have of the change.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Reach {
    /// All of them.
    pub in_service: u64,
    /// Built without it.
    pub without: u64,
    /// Built to it.
    pub built: u64,
    /// Issued without it and converted since, or given the new part.
    pub retrofitted: u64,
}

/// Failures in a year, if everything stays as it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WhileWaiting {
    /// Items in service without the change.
    pub items: u64,
    /// Failures a year: the rate before the change times these items.
    pub failures_a_year: f64,
    /// By the lower limit of the rate.
    pub low: f64,
    /// By the upper limit.
    pub high: f64,
}

impl WhileWaiting {
    /// Failures expected over so many days of waiting, with the limits of the rate.
    pub fn over_days(self, days: i64) -> (f64, f64, f64) {
        let years = days.max(0) as f64 / DAYS_PER_YEAR;
        (self.failures_a_year * years, self.low * years, self.high * years)
    }
}

impl Reach {
    pub(super) fn new(field: &Field, ledger: &Ledger, change: &ChangeFacts, sides: &Sides<'_>) -> Self {
        let mut reach = Self::default();
        for (_, of_spell) in reached(field, ledger, change, sides) {
            reach.add(of_spell);
        }
        reach
    }

    /// Takes so many of the items built to it, or all of them, as retrofitted; says how many.
    fn retrofit(&mut self, most: u64) -> u64 {
        let items = most.min(self.built);
        self.built -= items;
        self.retrofitted += items;
        items
    }

    fn add(&mut self, other: Self) {
        self.in_service += other.in_service;
        self.without += other.without;
        self.built += other.built;
        self.retrofitted += other.retrofitted;
    }

    /// Items of mixed lots, of other revisions and of unknown lots: nobody can tell.
    pub const fn not_told(self) -> u64 {
        self.in_service - self.without - self.built - self.retrofitted
    }

    /// Share of the items in service that have the change, built to it or converted; `None` where none is in service.
    pub fn share(self) -> Option<f64> {
        (self.in_service > 0).then(|| (self.built + self.retrofitted) as f64 / self.in_service as f64)
    }

    /// What waiting costs: the rate before the change, on the items that are without it.
    pub(super) fn while_waiting(self, before: Option<Rate>) -> Option<WhileWaiting> {
        let rate = before?;
        let a_year = |per_1000: f64| per_1000 / 1000.0 * self.without as f64;
        Some(WhileWaiting {
            items: self.without,
            failures_a_year: a_year(rate.estimate),
            low: a_year(rate.low),
            high: a_year(rate.high),
        })
    }
}

/// How far a change has reached, told apart by where items are and by their size.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ReachBy {
    /// By unit, in the order of their codes in the books.
    pub units: Vec<(UnitId, Reach)>,
    /// By size of the item, those of no known size first.
    pub sizes: Vec<(Option<SizeId>, Reach)>,
}

/// How far a change has reached, by unit and by size.
pub fn reach_by(field: &Field, ledger: &Ledger, change: &ChangeFacts) -> ReachBy {
    let (mut units, mut sizes) = (BTreeMap::<UnitId, Reach>::new(), BTreeMap::<Option<SizeId>, Reach>::new());
    for (spell, of_spell) in reached(field, ledger, change, &Sides::new(field, change)) {
        units.entry(spell.unit).or_default().add(of_spell);
        sizes.entry(size_of(field, spell.stock)).or_default().add(of_spell);
    }
    ReachBy { units: units.into_iter().collect(), sizes: sizes.into_iter().collect() }
}

/// Every spell of items in service on the as-of date that contain the part, with what its items have of the change.
pub(super) fn reached<'a>(
    field: &Field,
    ledger: &'a Ledger,
    change: &ChangeFacts,
    sides: &Sides<'_>,
) -> Vec<(&'a Spell, Reach)> {
    let holders = Holders::of_part(field, change.part);
    let held = ledger.spells.iter().filter(|s| s.open && s.books.has(Books::BEST));
    let is_built = |spell: &Spell| {
        spell.lot().is_some_and(|lot| sides.of_lot(lot) == Side::After)
            && !became_by_conversion(ledger, change.part, spell.clocks)
    };
    let of_spell = |spell: &'a Spell| {
        let items = u64::from(spell.quantity);
        let mut reach = Reach { in_service: items, ..Reach::default() };
        match sides.of_items(ledger, spell.stock, spell.clocks) {
            Side::Before => reach.without = items,
            Side::After if is_built(spell) => reach.built = items,
            Side::After => reach.retrofitted = items,
            Side::Mixed(_) | Side::Neither => {}
        }
        (spell, reach)
    };
    let mut spells: Vec<(&Spell, Reach)> =
        held.filter(|s| holders.has_stock(field, s.stock)).map(of_spell).collect();
    let mixed = Mixed::new(field, ledger, change.part, sides);
    for of_lot in spells.chunk_by_mut(|a, b| a.0.stock == b.0.stock) {
        mixed.tell_from_built(of_lot);
    }
    spells
}

/// Items without a change that became lots with it up to the as-of date, without the ledger knowing them from those built: the
/// part did not start anew, as where they had it in the same revision.
struct Mixed {
    by_lot: HashMap<LotId, u64>,
    /// Where they were converted.
    at_units: HashMap<(LotId, UnitId), u64>,
}

impl Mixed {
    fn new(field: &Field, ledger: &Ledger, part: PartId, sides: &Sides<'_>) -> Self {
        let mut found = Self { by_lot: HashMap::new(), at_units: HashMap::new() };
        let mut from_lots: HashMap<(LotId, LotId), bool> = HashMap::new();
        let mut from_unknown: HashMap<LotId, Option<Day>> = HashMap::new();
        let is_one = |m: &&MovementFacts| m.kind == MovementKind::Convert && m.day <= ledger.as_of;
        let mut movements: Vec<&MovementFacts> = field.movements.iter().filter(is_one).collect();
        movements.sort_unstable();
        for movement in movements {
            let Some(to) = movement.to_lot.filter(|&to| movement.stock != Stock::Lot(to)) else { continue };
            let (unit, items) = (movement.unit, u64::from(movement.quantity));
            let mixed = match movement.stock {
                // What a lot with the change passes on are first those that became it: they are the longest in service.
                Stock::Lot(from) if sides.of_lot(from) == Side::After => found.take(from, unit, items),
                Stock::Lot(from) => {
                    let starts_anew = *from_lots
                        .entry((from, to))
                        .or_insert_with(|| changed_parts(field, from, to).contains(&part));
                    if starts_anew { 0 } else { items }
                }
                Stock::Unknown(..) => {
                    let last = *from_unknown.entry(to).or_insert_with(|| last_anew(ledger, part, to));
                    if last >= Some(movement.day) { 0 } else { items }
                }
            };
            *found.by_lot.entry(to).or_default() += mixed;
            *found.at_units.entry((to, unit)).or_default() += mixed;
        }
        found
    }

    /// Takes out up to so many that became a lot; says how many.
    fn take(&mut self, lot: LotId, unit: UnitId, items: u64) -> u64 {
        let Some(sum) = self.by_lot.get_mut(&lot) else { return 0 };
        let taken = items.min(*sum);
        *sum -= taken;
        if let Some(there) = self.at_units.get_mut(&(lot, unit)) {
            *there -= taken.min(*there);
        }
        taken
    }

    /// Takes so many of the spells of one lot as retrofitted: as many at each unit as were converted there, then those longest
    /// in service; all of them at the most.
    fn tell_from_built(&self, spells: &mut [(&Spell, Reach)]) {
        let Some(lot) = spells.first().and_then(|(spell, _)| spell.lot()) else { return };
        let Some(&(mut left)) = self.by_lot.get(&lot) else { return };
        for of_unit in spells.chunk_by_mut(|a, b| a.0.unit == b.0.unit) {
            let unit = of_unit.first().map(|(spell, _)| spell.unit);
            let converted = unit.and_then(|unit| self.at_units.get(&(lot, unit))).copied().unwrap_or(0);
            let mut there = left.min(converted);
            left -= there;
            of_unit.sort_by_key(|(spell, _)| in_service_since(spell));
            for (_, reach) in of_unit {
                there -= reach.retrofit(there);
            }
            left += there;
        }
        spells.sort_by_key(|(spell, _)| in_service_since(spell));
        for (_, reach) in spells {
            left -= reach.retrofit(left);
        }
    }
}

/// Whether the part of items started anew when they became their lot.
fn became_by_conversion(ledger: &Ledger, part: PartId, clocks: ClocksId) -> bool {
    ledger.clocks.of(clocks, part).is_some_and(|restart| restart.by_conversion)
}

/// The last day on which items of a lot whose part started anew by conversion came to a unit; the as-of date while some
/// are there.
fn last_anew(ledger: &Ledger, part: PartId, lot: LotId) -> Option<Day> {
    let is_anew = |clocks| became_by_conversion(ledger, part, clocks);
    let mut held = ledger.held.iter().filter(|held| held.stock == Stock::Lot(lot));
    if held.any(|held| is_anew(held.clocks)) {
        return Some(ledger.as_of);
    }
    ledger.of_lot(lot).iter().filter(|spell| is_anew(spell.clocks)).map(|spell| spell.from).max()
}

/// The day since which items would be in service had they never been out of it.
const fn in_service_since(spell: &Spell) -> i32 {
    spell.from.0 - spell.age_days
}

/// The share of a lot that was built to a change, 0 to 1; `None` where nobody can tell.
pub fn share_of_lot(field: &Field, change: &ChangeFacts, lot: LotId) -> Option<f64> {
    match Sides::new(field, change).of_lot(lot) {
        Side::Before => Some(0.0),
        Side::After => Some(1.0),
        Side::Mixed(share) => Some(share),
        Side::Neither => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Plain arithmetic: 7 in 1,200 item-years on 600 items.
    #[test]
    fn waiting_costs_the_present_rate_on_the_items_without_the_change() {
        let reach = Reach { in_service: 1000, without: 600, built: 250, retrofitted: 100 };
        assert_eq!((reach.not_told(), reach.share()), (50, Some(0.35)));
        let cost = reach.while_waiting(Rate::new(7, 1200.0)).expect("a rate");
        assert!((cost.failures_a_year - 3.5).abs() < 1e-9 && cost.low < 3.5 && cost.high > 3.5, "{cost:?}");
        let (best, low, high) = cost.over_days(73);
        assert!((best - 3.5 * 73.0 / 365.25).abs() < 1e-9 && low < best && best < high);
        assert_eq!(reach.while_waiting(None), None);
        assert_eq!(Reach::default().share(), None);
    }
}
