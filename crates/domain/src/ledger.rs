//! The ledger: folds movements, counts and replacements into spells in service, and spells into exposure.
//!
//! What is exact: days and quantities as recorded. What is a convention: a movement takes the items longest in
//! service first. What is uncertain: where books do not balance, every spell says in which accounts it stands.

mod apply;
mod books;
mod by_name;
mod clocks;
mod conversion;
mod exposure;
mod fold;
mod holding;
mod recount;
mod replacement;
mod serials;
mod sources;
mod waiting;

pub use books::{Books, Span};
pub use clocks::{Clocks, ClocksId, Restart};
pub(crate) use conversion::{changed, changed_parts, contents};
pub use exposure::{AGE_BANDS, age_band, split_by_age};
pub use fold::{fold, fold_parts};
pub use holding::TakeOrder;
pub use serials::Serials;
pub(crate) use serials::{OwnPart, Stays};

use crate::field::{Day, Field, Id as _, LotId, MovementFacts, PartId, ReportFacts, SizeId, Stock, UnitId};
use crate::movement::MovementKind;

/// Items alike in service at one unit over one span of days.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Spell {
    /// What they are.
    pub stock: Stock,
    /// Where.
    pub unit: UnitId,
    /// First day.
    pub from: Day,
    /// The day after the last; for items still in service the as-of date.
    pub to: Day,
    /// How many.
    pub quantity: u32,
    /// Their age in service on the first day, in days.
    pub age_days: i32,
    /// Their parts that started anew.
    pub clocks: ClocksId,
    /// In which accounts they stand.
    pub books: Books,
    /// Whether the age is on record; items that records begin with may be older.
    pub age_known: bool,
    /// Whether they were still there on the as-of date.
    pub open: bool,
}

impl Spell {
    /// Item-years of all items together.
    pub fn item_years(&self) -> f64 {
        f64::from(self.quantity) * self.to.years_since(self.from)
    }

    /// The lot, where known.
    pub const fn lot(&self) -> Option<LotId> {
        match self.stock {
            Stock::Lot(lot) => Some(lot),
            Stock::Unknown(..) => None,
        }
    }
}

/// A line of the books that does not agree with what was on record.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Discrepancy {
    /// The day.
    pub day: Day,
    /// Where.
    pub unit: UnitId,
    /// What.
    pub stock: Stock,
    /// The kind of line; of an event that says a part was replaced, a conversion.
    pub kind: MovementKind,
    /// Whether the line is such an event.
    pub is_event: bool,
    /// How many were on record.
    pub on_record: u32,
    /// How many the line says.
    pub stated: u32,
    /// When the lot was made, where the line is of a day before: none of it can have been on record then.
    pub made_on: Option<Day>,
}

impl Discrepancy {
    /// The line in words: day, unit, what, and both numbers or both dates.
    pub fn in_words(&self, field: &Field) -> String {
        let Self { day, kind, on_record, stated, .. } = *self;
        let (unit, part) = (&field.unit_names[self.unit], &field.part_names[part_of(field, self.stock)]);
        let what = match self.stock {
            Stock::Lot(lot) => format!("lot {}", field.lots[lot].lot_no),
            Stock::Unknown(..) => format!("{part} of no known lot"),
        };
        let line = match kind {
            MovementKind::Count => format!("{day}, {unit}, {what}: {stated} counted"),
            _ if self.is_event => format!("{day}, {unit}, {what}: part replaced on {stated}"),
            kind => format!("{day}, {unit}, {what}: {kind} of {stated}"),
        };
        match self.made_on {
            Some(made_on) => format!("{line} before it was made on {made_on}"),
            None => format!("{line}, {on_record} on record"),
        }
    }

    /// What a movement says of lots that were not made yet.
    fn before_made(field: &Field, movement: &MovementFacts) -> impl Iterator<Item = Self> {
        let MovementFacts { day, unit, kind, quantity, .. } = *movement;
        let stocks = [Some(movement.stock), movement.to_lot.map(Stock::Lot)];
        stocks.into_iter().flatten().filter(move |_| quantity > 0).filter_map(move |stock| {
            let made_on = made_on(field, stock).filter(|&made| day < made)?;
            let stated = quantity;
            Some(Self {
                day,
                unit,
                stock,
                kind,
                is_event: false,
                on_record: 0,
                stated,
                made_on: Some(made_on),
            })
        })
    }
}

/// Items at a place on the as-of date; `unit` is `None` for what was returned and not issued again.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Held {
    /// What.
    pub stock: Stock,
    /// Where.
    pub unit: Option<UnitId>,
    /// Their parts that an event replaced; what conversion replaced, their lot tells by what it was made from.
    pub clocks: ClocksId,
    /// How many, by the best account.
    pub quantity: u32,
    /// The fewest of a lot that the books allow.
    pub low: u32,
    /// The most of a lot that the books allow.
    pub high: u32,
    /// Whether they are in service there.
    pub in_service: bool,
}

/// What the books say up to a date.
#[derive(Clone, Debug)]
pub struct Ledger {
    /// The date.
    pub as_of: Day,
    /// Spells in service, in a fixed order.
    pub spells: Vec<Spell>,
    /// Where the spells of each lot begin, and after the last where they end.
    lot_begins: Vec<u32>,
    /// Parts that started anew.
    pub clocks: Clocks,
    /// Items known by number.
    pub serials: Serials,
    /// Lines that do not agree with what was on record, in a fixed order.
    pub discrepancies: Vec<Discrepancy>,
    /// Who holds what on the as-of date, in a fixed order.
    pub held: Vec<Held>,
    /// Item-days spent returned and waiting to be issued again, by the best account; not exposure.
    pub shelf_item_days: u64,
    /// Items issued for the first time, by stock and day, in a fixed order.
    pub first_issues: Vec<(Stock, Day, u64)>,
}

impl Ledger {
    /// The spells of a lot, by unit and day.
    pub fn of_lot(&self, lot: LotId) -> &[Spell] {
        &self.spells[self.lot_begins[lot.index()] as usize..self.lot_begins[lot.index() + 1] as usize]
    }

    /// The spells of a lot at a unit, by day.
    pub(crate) fn of_lot_at(&self, lot: LotId, unit: UnitId) -> &[Spell] {
        let of_lot = self.of_lot(lot);
        let from = of_lot.partition_point(|spell| spell.unit < unit);
        let len = of_lot[from..].partition_point(|spell| spell.unit == unit);
        &of_lot[from..from + len]
    }

    /// The spells of the stocks that pass a test, which is asked once a stock, in their order.
    pub(crate) fn of_stocks(&self, wanted: impl Fn(Stock) -> bool + Copy) -> impl Iterator<Item = &Spell> {
        let lots = (0..self.lots()).map(LotId::from_index).filter(move |&lot| wanted(Stock::Lot(lot)));
        let others = &self.spells[self.lot_begins[self.lots()] as usize..];
        let others =
            others.chunk_by(|a, b| a.stock == b.stock).filter(move |of_stock| wanted(of_stock[0].stock));
        lots.flat_map(|lot| self.of_lot(lot)).chain(others.flatten())
    }

    /// How many lots there are, with spells or without.
    pub fn lots(&self) -> usize {
        self.lot_begins.len() - 1
    }

    /// Item-years of the spells that pass a test, with the least and the most of one lot.
    pub fn lot_years(&self, wanted: impl Fn(&Spell) -> bool) -> Span {
        let mut years = Span::default();
        for spell in self.spells.iter().filter(|spell| wanted(spell)) {
            years.add_lot(spell.books, spell.item_years());
        }
        years
    }

    /// Item-years of the spells that pass a test, with the least and the most of the part whichever lot.
    pub fn item_years(&self, wanted: impl Fn(&Spell) -> bool) -> Span {
        let mut years = Span::default();
        for spell in self.spells.iter().filter(|spell| wanted(spell)) {
            years.add_all(spell.books, spell.item_years());
        }
        years
    }

    /// Age in service of the failed part of a report on an item known by number, on the day it was found.
    pub fn own_age_days(&self, report: &ReportFacts, part: PartId) -> Option<i32> {
        self.serials.age_of(report, part)
    }

    /// Age in service of a part on the first day of a spell, in days: the item's, less its age at the replacement.
    pub fn part_age_days(&self, spell: &Spell, part: PartId) -> i32 {
        spell.age_days - self.clocks.of(spell.clocks, part).map_or(0, |restart| restart.at_age_days)
    }
}

/// Where the rows of each of so many places begin once they are sorted by the place `place` gives them, and where the last
/// end; rows of no place come after the others.
pub(crate) fn begins<T>(rows: &[T], places: usize, place: impl Fn(&T) -> Option<usize>) -> Vec<u32> {
    let mut begins = vec![0; places + 1];
    for at in rows.iter().filter_map(place) {
        begins[at + 1] += 1;
    }
    for at in 0..places {
        begins[at + 1] += begins[at];
    }
    begins
}

/// When a stock was made, where known.
fn made_on(field: &Field, stock: Stock) -> Option<Day> {
    match stock {
        Stock::Lot(lot) => field.lots[lot].made_on,
        Stock::Unknown(..) => None,
    }
}

/// A sum of items as a number of them; sums beyond what a number holds are shown as its most.
fn short(sum: u64) -> u32 {
    u32::try_from(sum).unwrap_or(u32::MAX)
}

/// The part of a stock.
pub fn part_of(field: &Field, stock: Stock) -> PartId {
    match stock {
        Stock::Lot(lot) => field.part_of_lot(lot),
        Stock::Unknown(part, _) => part,
    }
}

/// The size of a stock, where known.
pub fn size_of(field: &Field, stock: Stock) -> Option<SizeId> {
    match stock {
        Stock::Lot(lot) => field.lots[lot].size,
        Stock::Unknown(_, size) => size,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::movement::{Movement, MovementKind};
    use crate::nouns::{builder, date, lot, movement, part, unit};
    use crate::unit::UnitKind;

    /// Three lots, of which one never went out, and items of no known lot, of two items at two units.
    #[test]
    fn spells_of_some_stocks_are_those_of_all_that_pass() {
        let mut b = builder();
        for code in ["A", "B"] {
            b.unit(&unit(code, UnitKind::Wearing)).expect("new");
        }
        for item in ["PACK", "VEST"] {
            b.part(&part(item, "A", "ITEM")).expect("new");
        }
        for (lot_no, item) in [("L1", "PACK"), ("L2", "VEST"), ("L3", "PACK")] {
            b.lot(&lot(lot_no, item, "A")).expect("new");
        }
        for (lot_no, code) in [("L1", "B"), ("L3", "A"), ("L1", "A")] {
            b.movement(&movement("2024-01-01", MovementKind::Issue, lot_no, code, 10)).expect("known");
        }
        for (item, code) in [("VEST", "A"), ("PACK", "B"), ("PACK", "A")] {
            let of_no_lot = Movement {
                lot_no: None,
                part_no: Some(item.into()),
                ..movement("2024-02-01", MovementKind::Issue, "", code, 5)
            };
            b.movement(&of_no_lot).expect("known");
        }
        let field = b.build();
        let ledger = fold(&field, date("2025-01-01").into(), TakeOrder::OldestFirst);
        let pack = field.part_names.find("PACK").expect("known");
        let is_pack = |stock: Stock| part_of(&field, stock) == pack;
        let some: Vec<&Spell> = ledger.of_stocks(is_pack).collect();
        let by_hand: Vec<&Spell> = ledger.spells.iter().filter(|spell| is_pack(spell.stock)).collect();
        assert_eq!((some.len(), ledger.spells.len()), (5, 6));
        assert!(some.iter().zip(by_hand).all(|(a, b)| std::ptr::eq(*a, b)));
    }
}
