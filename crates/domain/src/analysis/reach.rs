//! How far a change has reached the items in service, and what it costs to wait for it.

use std::collections::{BTreeMap, HashSet};

use super::holders::Holders;
use super::rate::Rate;
use super::side::{Side, Sides};
use crate::field::{ChangeFacts, DAYS_PER_YEAR, Field, LotId, SizeId, Stock, UnitId};
use crate::ledger::{Books, Ledger, Spell};
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
        each_spell(field, ledger, change, sides, |_, of_spell| reach.add(of_spell));
        reach
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
    each_spell(field, ledger, change, &Sides::new(field, change), |spell, of_spell| {
        units.entry(spell.unit).or_default().add(of_spell);
        let size = match spell.stock {
            Stock::Lot(lot) => field.lots[lot].size,
            Stock::Unknown(_, size) => size,
        };
        sizes.entry(size).or_default().add(of_spell);
    });
    ReachBy { units: units.into_iter().collect(), sizes: sizes.into_iter().collect() }
}

/// Every spell of items in service on the as-of date that contain the part, with what its items have of the change.
fn each_spell(
    field: &Field,
    ledger: &Ledger,
    change: &ChangeFacts,
    sides: &Sides<'_>,
    mut with: impl FnMut(&Spell, Reach),
) {
    let holders = Holders::of_part(field, change.part);
    let converted = converted_to(field);
    let held = ledger.spells.iter().filter(|s| s.open && s.books.has(Books::BEST));
    for spell in held.filter(|s| holders.has_stock(field, s.stock)) {
        let items = u64::from(spell.quantity);
        let mut reach = Reach { in_service: items, ..Reach::default() };
        match sides.of_spell(ledger, spell) {
            Side::Before => reach.without = items,
            Side::After if spell.lot().is_some_and(|lot| is_built_to_it(lot, sides, &converted)) => {
                reach.built = items;
            }
            Side::After => reach.retrofitted = items,
            Side::Mixed(_) | Side::Neither => {}
        }
        with(spell, reach);
    }
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

/// A lot after the change that no issued item was converted into.
pub(super) fn is_built_to_it(lot: LotId, sides: &Sides<'_>, converted: &HashSet<LotId>) -> bool {
    sides.of_lot(lot) == Side::After && !converted.contains(&lot)
}

/// Lots that issued items became.
pub(super) fn converted_to(field: &Field) -> HashSet<LotId> {
    let conversions = field.movements.iter().filter(|m| m.kind == MovementKind::Convert);
    conversions
        .filter(|m| matches!(m.stock, Stock::Lot(from) if Some(from) != m.to_lot))
        .filter_map(|m| m.to_lot)
        .collect()
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
