//! The service of one part: where its items were, how old, and how fast they leave.

use rustc_hash::FxHashMap;

use super::ground::Ground;
use super::holders::Holders;
use crate::field::{Day, Field, Id as _, MovementFacts, PartId, Stock, UnitId};
use crate::ledger::{Books, ClocksId, Spell, begins};
use crate::movement::{MovementKind, ReturnReason};
use crate::unit::UnitKind;

/// Items alike at one unit over one span of days.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stay {
    pub(super) unit: UnitId,
    pub(super) stock: Stock,
    pub(super) from: Day,
    pub(super) to: Day,
    pub(super) quantity: u32,
    /// Their parts that started anew.
    pub(super) clocks: ClocksId,
    /// Age of the part on the first day, in days.
    pub(super) age_days: i32,
    /// Whether that age is on record.
    pub(super) age_known: bool,
    /// Whether the items were still there on the as-of date.
    pub(super) open: bool,
}

impl Stay {
    /// Whether the items were there on a day.
    pub(super) fn covers(&self, day: Day) -> bool {
        self.from <= day && (day < self.to || (day == self.to && self.open))
    }

    /// Age of the part on a day, not below 0.
    pub(super) fn age_on(&self, day: Day) -> i32 {
        (self.age_days + day.0 - self.from.0).max(0)
    }
}

/// Every stay of the items that contain a part, by the best account, by unit, stock and day.
pub(super) struct Service {
    stays: Vec<Stay>,
    /// Where those of each unit begin.
    begins: Vec<u32>,
    /// Share of the items in service that leave in a year.
    pub(super) leaving_per_year: f64,
}

impl Service {
    pub(super) fn new(field: &Field, ground: &Ground, part: PartId) -> Self {
        let ledger = &ground.ledger;
        let holders = Holders::of_part(field, part);
        let lots = holders.lots(field);
        let holds = |stock: Stock| match stock {
            Stock::Lot(lot) => lots[lot],
            Stock::Unknown(..) => holders.has_stock(field, stock),
        };
        // What left without its lot named may have been issued by lot, so that its stock has no service of its own.
        let left: u64 =
            ground.leaving.0.iter().filter(|(stock, _)| holds(**stock)).map(|(_, items)| items).sum();
        let by_best = ledger.of_stocks(holds).filter(|spell| spell.books.has(Books::BEST));
        let spells: Vec<&Spell> = by_best.collect();
        let item_years: f64 = spells.iter().map(|spell| spell.item_years()).sum();
        let leaving_per_year = if item_years > 0.0 { left as f64 / item_years } else { 0.0 };
        // They come by stock, unit and day; counted out to the units, they come by unit, stock and day.
        let begins = begins(&spells, field.units.len(), |spell| Some(spell.unit.index()));
        let (mut next, mut by_unit) = (begins.clone(), spells.clone());
        for spell in spells {
            let place = &mut next[spell.unit.index()];
            by_unit[*place as usize] = spell;
            *place += 1;
        }
        let stay = |spell: &Spell| Stay {
            unit: spell.unit,
            stock: spell.stock,
            from: spell.from,
            to: spell.to,
            quantity: spell.quantity,
            clocks: spell.clocks,
            age_days: ledger.part_age_days(spell, part),
            age_known: spell.age_known || ledger.clocks.of(spell.clocks, part).is_some(),
            open: spell.open,
        };
        let stays = by_unit.into_iter().map(stay).collect();
        Self { stays, begins, leaving_per_year }
    }

    /// Every stay.
    pub(super) fn stays(&self) -> &[Stay] {
        &self.stays
    }

    /// Stays at one unit.
    pub(super) fn at_unit(&self, unit: UnitId) -> &[Stay] {
        &self.stays[self.begins[unit.index()] as usize..self.begins[unit.index() + 1] as usize]
    }

    /// Stays of one stock at one unit.
    pub(super) fn of_stock(&self, unit: UnitId, stock: Stock) -> &[Stay] {
        let here = self.at_unit(unit);
        let from = here.partition_point(|s| s.stock < stock);
        let to = here.partition_point(|s| s.stock <= stock);
        &here[from..to]
    }

    /// Items at a unit on a day, of one stock or of all.
    pub(super) fn items_on(&self, unit: UnitId, stock: Option<Stock>, day: Day) -> u64 {
        let stays = stock.map_or_else(|| self.at_unit(unit), |stock| self.of_stock(unit, stock));
        stays.iter().filter(|s| s.covers(day)).map(|s| u64::from(s.quantity)).sum()
    }
}

/// How items left service.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Out {
    /// Lost, retired, or back worn or damaged: they don't go out again.
    Gone,
    /// Back in a store.
    Back,
    /// Back for repair, which brings them out again.
    Repair,
}

impl Out {
    /// How a movement takes items out of service; `None` where it doesn't.
    pub(super) fn of(field: &Field, movement: &MovementFacts) -> Option<Self> {
        if !field.units[movement.unit].kind.in_service() {
            return None;
        }
        // Books may write a return as a transfer to the unit that keeps what came back.
        let is_kept = |unit: UnitId| matches!(field.units[unit].kind, UnitKind::Store | UnitKind::Depot);
        match movement.kind {
            MovementKind::Loss | MovementKind::Retire => Some(Self::Gone),
            MovementKind::Return => Some(match movement.reason {
                Some(ReturnReason::Worn | ReturnReason::Damaged) => Self::Gone,
                Some(ReturnReason::Repair) => Self::Repair,
                _ => Self::Back,
            }),
            MovementKind::Transfer => movement.to_unit.is_some_and(is_kept).then_some(Self::Back),
            _ => None,
        }
    }
}

/// Items of each stock that left service and were not back for repair.
pub(super) struct Leaving(FxHashMap<Stock, u64>);

impl Leaving {
    pub(super) fn new(field: &Field, as_of: Day) -> Self {
        let mut left: FxHashMap<Stock, u64> = FxHashMap::default();
        for movement in field.movements.iter().filter(|m| m.day <= as_of) {
            if matches!(Out::of(field, movement), Some(Out::Gone | Out::Back)) {
                *left.entry(movement.stock).or_default() += u64::from(movement.quantity);
            }
        }
        Self(left)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::movement::{Movement, MovementKind as K};
    use crate::nouns::{builder, lot, movement, part, unit};

    #[test]
    fn what_goes_to_a_store_is_back_however_it_is_written() {
        let mut b = builder();
        let units = [("A", UnitKind::Wearing), ("STORE", UnitKind::Store), ("MEND", UnitKind::Repair)];
        for (code, kind) in units {
            b.unit(&unit(code, kind)).expect("new unit");
        }
        b.part(&part("PACK", "A", "ITEM")).expect("new part");
        b.lot(&lot("L", "PACK", "A")).expect("new lot");
        let from = |code, kind, to: Option<&str>, reason| Movement {
            to_unit: to.map(Into::into),
            reason,
            ..movement("2024-01-01", kind, "L", code, 1)
        };
        let cases = [
            (from("A", K::Loss, None, None), Some(Out::Gone)),
            (from("A", K::Return, None, Some(ReturnReason::Worn)), Some(Out::Gone)),
            (from("A", K::Return, None, Some(ReturnReason::Repair)), Some(Out::Repair)),
            (from("A", K::Return, None, None), Some(Out::Back)),
            (from("A", K::Transfer, Some("STORE"), None), Some(Out::Back)),
            (from("A", K::Transfer, Some("MEND"), None), None),
            (from("STORE", K::Transfer, Some("A"), None), None),
            (from("STORE", K::Loss, None, None), None),
        ];
        for (movement, _) in &cases {
            b.movement(movement).expect("known names");
        }
        let field = b.build();
        let found: Vec<_> = field.movements.iter().map(|movement| Out::of(&field, movement)).collect();
        assert_eq!(found, cases.map(|case| case.1));
    }
}
