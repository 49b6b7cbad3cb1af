//! How far a change has reached the items in service, and what it costs to wait for it.

use std::collections::HashSet;

use super::holders::Holders;
use super::rate::Rate;
use super::side::{Side, Sides};
use crate::field::{ChangeFacts, Field, LotId, Stock};
use crate::ledger::{Books, Ledger};
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

impl Reach {
    pub(super) fn new(field: &Field, ledger: &Ledger, change: &ChangeFacts, sides: &Sides<'_>) -> Self {
        let holders = Holders::of_part(field, change.part);
        let converted = converted_to(field);
        let mut reach = Self::default();
        let held = ledger.spells.iter().filter(|s| s.open && s.books.has(Books::BEST));
        for spell in held.filter(|s| holders.has_stock(field, s.stock)) {
            let items = u64::from(spell.quantity);
            reach.in_service += items;
            match sides.of_spell(ledger, spell) {
                Side::Before => reach.without += items,
                Side::After if spell.lot().is_some_and(|lot| is_built_to_it(lot, sides, &converted)) => {
                    reach.built += items;
                }
                Side::After => reach.retrofitted += items,
                Side::Mixed(_) | Side::Neither => {}
            }
        }
        reach
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
        assert_eq!(reach.while_waiting(None), None);
        assert_eq!(Reach::default().share(), None);
    }
}
