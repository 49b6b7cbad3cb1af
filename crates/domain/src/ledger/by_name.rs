//! The order of units and lots by their names: of rows that are alike otherwise, which comes first must not hang on the order
//! in which units and lots were written down.

use super::fold::Place;
use crate::field::{EventFacts, Field, Id, LotId, MovementFacts, Stock, UnitId};

/// The rank of each unit and lot by name.
pub(super) struct ByName {
    units: Vec<UnitId>,
    lots: Vec<LotId>,
}

impl ByName {
    pub(super) fn new(field: &Field) -> Self {
        let unit_name = |&unit: &UnitId| &field.unit_names[unit];
        let lot_name = |&lot: &LotId| (&field.lots[lot].lot_no, lot);
        Self { units: ranks(field.units.len(), unit_name), lots: ranks(field.lots.len(), lot_name) }
    }

    fn unit(&self, unit: UnitId) -> UnitId {
        self.units[unit.index()]
    }

    fn lot(&self, lot: LotId) -> LotId {
        self.lots[lot.index()]
    }

    /// What to sort a stock by.
    pub(super) fn stock(&self, stock: Stock) -> Stock {
        match stock {
            Stock::Lot(lot) => Stock::Lot(self.lot(lot)),
            Stock::Unknown(..) => stock,
        }
    }

    /// What to sort a place by.
    pub(super) fn place(&self, (stock, unit): Place) -> Place {
        (self.stock(stock), unit.map(|unit| self.unit(unit)))
    }

    /// What to sort a movement by.
    pub(super) fn movement(&self, movement: &MovementFacts) -> MovementFacts {
        MovementFacts {
            stock: self.stock(movement.stock),
            unit: self.unit(movement.unit),
            to_unit: movement.to_unit.map(|unit| self.unit(unit)),
            to_lot: movement.to_lot.map(|lot| self.lot(lot)),
            ..*movement
        }
    }

    /// What to sort an event by.
    pub(super) fn event(&self, event: &EventFacts) -> EventFacts {
        EventFacts {
            unit: self.unit(event.unit),
            lot: event.lot.map(|lot| self.lot(lot)),
            new_lot: event.new_lot.map(|lot| self.lot(lot)),
            ..*event
        }
    }
}

/// By id, the id that stands at its rank.
fn ranks<I: Id + Copy, N: Ord>(len: usize, name: impl Fn(&I) -> N) -> Vec<I> {
    let mut ids: Vec<I> = (0..len).map(I::from_index).collect();
    ids.sort_by_key(|id| name(id));
    let mut ranks = ids.clone();
    for (rank, id) in ids.into_iter().enumerate() {
        ranks[id.index()] = I::from_index(rank);
    }
    ranks
}
