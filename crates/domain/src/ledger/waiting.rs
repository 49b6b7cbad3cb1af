//! Movements of one day that wait until more has come to where they may take from: only these are looked at again.

use std::collections::BTreeSet;

use rustc_hash::FxHashMap;

use super::fold::{Fold, Place};
use crate::field::{LotId, MovementFacts, PartId, Stock, UnitId};
use crate::movement::MovementKind;

/// Where items come to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
enum Spot {
    At(UnitId),
    AnyStore,
    Returned,
}

/// What comes there: a lot may lie among items of unknown lot, and these among any.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
enum What {
    Lot(LotId),
    OfUnknownLot(PartId),
    Any(PartId),
}

/// The movements that wait, by their place in the order of the day.
#[derive(Debug, Default)]
pub(super) struct Waiting {
    rows: BTreeSet<usize>,
    for_place: FxHashMap<(Spot, What), Vec<usize>>,
}

impl Waiting {
    pub(super) fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }

    pub(super) fn has(&self, row: usize) -> bool {
        self.rows.contains(&row)
    }

    pub(super) fn first(&self) -> Option<usize> {
        self.rows.first().copied()
    }

    pub(super) fn remove(&mut self, row: usize) {
        self.rows.remove(&row);
    }

    pub(super) fn add(&mut self, fold: &Fold<'_>, row: usize, movement: &MovementFacts) {
        self.rows.insert(row);
        let unit = movement.unit;
        let spots = match movement.kind {
            MovementKind::Issue => [Some(Spot::Returned), Some(Spot::AnyStore)],
            _ if fold.in_service(Some(unit)) => [Some(Spot::At(unit)), None],
            _ => [Some(Spot::At(unit)), Some(Spot::Returned)],
        };
        let part = super::part_of(fold.field, movement.stock);
        let whats = match movement.stock {
            Stock::Lot(lot) => [Some(What::Lot(lot)), Some(What::OfUnknownLot(part))],
            Stock::Unknown(..) => [Some(What::Any(part)), None],
        };
        for spot in spots.into_iter().flatten() {
            for what in whats.into_iter().flatten() {
                self.for_place.entry((spot, what)).or_default().push(row);
            }
        }
    }

    /// The movements that may find more now that something came to a place.
    pub(super) fn woken(&self, fold: &Fold<'_>, (stock, unit): Place) -> BTreeSet<usize> {
        let spots = match unit {
            None => [Some(Spot::Returned), None],
            Some(unit) if fold.in_service(Some(unit)) => [Some(Spot::At(unit)), None],
            Some(unit) => [Some(Spot::At(unit)), Some(Spot::AnyStore)],
        };
        let part = super::part_of(fold.field, stock);
        let named = match stock {
            Stock::Lot(lot) => What::Lot(lot),
            Stock::Unknown(..) => What::OfUnknownLot(part),
        };
        let keys = spots.into_iter().flatten().flat_map(|spot| [(spot, named), (spot, What::Any(part))]);
        let rows = keys.filter_map(|key| self.for_place.get(&key)).flatten().copied();
        rows.filter(|row| self.rows.contains(row)).collect()
    }
}
