//! The lots that each unit was ever issued, from which a label that can't be read is guessed.

use rustc_hash::FxHashMap;

use super::characters;
use crate::field::{Day, Field, LotId, PartId, Stock, Table, UnitId};
use crate::movement::MovementKind;

/// A lot that was issued to a unit.
#[derive(Clone, Copy, Debug)]
pub(super) struct Issued {
    pub(super) lot: LotId,
    /// The first day.
    pub(super) since: Day,
    /// The characters of its look.
    pub(super) characters: u64,
}

/// Lots of an item ever issued to a unit, in their order.
#[derive(Debug)]
pub(super) struct IssuedLots(FxHashMap<(UnitId, PartId), Vec<Issued>>);

impl IssuedLots {
    /// By the movements up to a day; `look_of` is what each lot's number looks like.
    pub(super) fn new(field: &Field, as_of: Day, look_of: &Table<LotId, Box<str>>) -> Self {
        let mut since: FxHashMap<(UnitId, LotId), Day> = FxHashMap::default();
        for movement in field.movements.iter().filter(|m| m.day <= as_of) {
            // What records begin with was there before them.
            let is_opening = movement.kind == MovementKind::Opening;
            let day = if is_opening { Day(i32::MIN) } else { movement.day };
            let lot = match movement.stock {
                Stock::Lot(lot) => Some(lot),
                Stock::Unknown(..) => None,
            };
            let there = lot.map(|lot| (movement.unit, lot));
            let sent = movement.to_unit.zip(lot);
            let became = movement.to_lot.map(|lot| (movement.unit, lot));
            for pair in [there, sent, became].into_iter().flatten() {
                let first = since.entry(pair).or_insert(day);
                *first = day.min(*first);
            }
        }
        let mut at_unit: FxHashMap<(UnitId, PartId), Vec<Issued>> = FxHashMap::default();
        for ((unit, lot), since) in since {
            let lots = at_unit.entry((unit, field.part_of_lot(lot))).or_default();
            lots.push(Issued { lot, since, characters: characters(&look_of[lot]) });
        }
        for lots in at_unit.values_mut() {
            lots.sort_unstable_by_key(|issued| issued.lot);
        }
        Self(at_unit)
    }

    pub(super) fn at(&self, unit: UnitId, item: PartId) -> &[Issued] {
        self.0.get(&(unit, item)).map_or(&[], Vec::as_slice)
    }
}
