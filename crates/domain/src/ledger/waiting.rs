//! Movements of one day that wait until more has come to where they may take from: only these are looked at again.

use std::collections::{BTreeMap, BTreeSet};

use rustc_hash::FxHashMap;

use super::fold::{Fold, Place};
use crate::field::{LotId, MovementFacts, PartId, Stock, UnitId};
use crate::movement::MovementKind;

/// Where items come to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(super) enum Spot {
    At(UnitId),
    AnyStore,
    Returned,
}

/// What comes there: a lot may lie among items of unknown lot, and these among any.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(super) enum What {
    Lot(LotId),
    OfUnknownLot(PartId),
    Any(PartId),
}

/// What comes where.
pub(super) type Inflow = (Spot, What);

/// The movements that wait, by their place in the order of the day.
#[derive(Debug, Default)]
pub(super) struct Waiting {
    rows: BTreeMap<usize, Row>,
    for_inflow: FxHashMap<Inflow, Vec<usize>>,
    /// How many of them would bring it.
    bringing: FxHashMap<Inflow, usize>,
    /// Those for which none of them would bring anything, once that was asked.
    unfed: Option<BTreeSet<usize>>,
}

/// One that waits: for what, and what it would bring.
#[derive(Debug)]
struct Row {
    waits_for: Vec<Inflow>,
    brings: Vec<Inflow>,
}

impl Waiting {
    pub(super) fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }

    pub(super) fn has(&self, row: usize) -> bool {
        self.rows.contains_key(&row)
    }

    /// The first for which none of the others would bring anything: it must take more than there is, and what it brings may be
    /// what others wait for. The first of all where each waits for another.
    pub(super) fn first_unfed(&mut self) -> Option<usize> {
        if self.unfed.is_none() {
            self.unfed = Some(self.rows.keys().copied().filter(|row| self.is_unfed(*row)).collect());
        }
        let unfed = self.unfed.as_ref().and_then(BTreeSet::first);
        unfed.or_else(|| self.rows.keys().next()).copied()
    }

    fn is_unfed(&self, row: usize) -> bool {
        let waits_for = self.rows.get(&row).map(|row| row.waits_for.as_slice());
        waits_for.is_some_and(|inflows| inflows.iter().all(|inflow| !self.bringing.contains_key(inflow)))
    }

    pub(super) fn remove(&mut self, row: usize) {
        let Some(Row { brings, .. }) = self.rows.remove(&row) else { return };
        if let Some(unfed) = &mut self.unfed {
            unfed.remove(&row);
        }
        for inflow in brings {
            if let Some(bringing) = self.bringing.get_mut(&inflow) {
                *bringing -= 1;
                if *bringing == 0 {
                    self.bringing.remove(&inflow);
                    let others = self.for_inflow.get(&inflow).into_iter().flatten().copied();
                    let unfed: Vec<usize> = others.filter(|&other| self.is_unfed(other)).collect();
                    self.unfed.iter_mut().for_each(|all| all.extend(&unfed));
                }
            }
        }
    }

    pub(super) fn add(&mut self, fold: &Fold<'_>, row: usize, movement: &MovementFacts) {
        let waits_for = waits_for(fold, movement);
        let brings: Vec<Inflow> =
            brought_to(movement).into_iter().flat_map(|place| inflows(fold, place)).collect();
        for &inflow in &waits_for {
            self.for_inflow.entry(inflow).or_default().push(row);
        }
        for &inflow in &brings {
            *self.bringing.entry(inflow).or_default() += 1;
        }
        self.rows.insert(row, Row { waits_for, brings });
    }

    /// The movements that may find more now that something came to a place.
    pub(super) fn woken(&self, fold: &Fold<'_>, place: Place) -> BTreeSet<usize> {
        let rows = inflows(fold, place).filter_map(|inflow| self.for_inflow.get(&inflow)).flatten().copied();
        rows.filter(|&row| self.has(row)).collect()
    }
}

/// What a movement waits for.
pub(super) fn waits_for(fold: &Fold<'_>, movement: &MovementFacts) -> Vec<Inflow> {
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
    let whats = || whats.into_iter().flatten();
    spots.into_iter().flatten().flat_map(|spot| whats().map(move |what| (spot, what))).collect()
}

/// What comes there when something comes to a place.
pub(super) fn inflows(fold: &Fold<'_>, (stock, unit): Place) -> impl Iterator<Item = Inflow> + use<> {
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
    spots.into_iter().flatten().flat_map(move |spot| [(spot, named), (spot, What::Any(part))])
}

/// Where a movement brings its items; `None` where they leave the books, or were on no others.
pub(super) fn brought_to(movement: &MovementFacts) -> Option<Place> {
    let (stock, unit) = (movement.stock, Some(movement.unit));
    match movement.kind {
        MovementKind::Opening | MovementKind::Receive | MovementKind::Found | MovementKind::Issue => {
            Some((stock, unit))
        }
        MovementKind::Return => Some((stock, None)),
        MovementKind::Transfer => Some((stock, movement.to_unit)),
        MovementKind::Convert => movement.to_lot.map(|lot| (Stock::Lot(lot), unit)),
        MovementKind::Loss | MovementKind::Retire | MovementKind::Count => None,
    }
}
