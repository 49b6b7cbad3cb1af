//! Exposure of one part: item-years by lot, unit and age band.
//!
//! Lots, units and other levels are compared over the days of which reports are kept: an old lot's silent young years, from
//! before anybody reported, would make every newer one look bad.

use super::activities::Spent;
use super::failed_ages::FailedAges;
use super::holders::Holders;
use super::window::Window;
use crate::field::{DAYS_PER_YEAR, Day, Field, Id as _, LotId, PartId, Stock, UnitId};
use crate::ledger::{AGE_BANDS, Books, Ledger, Span, Spell, begins, split_by_age};

/// Item-years in each age band.
pub(super) type Bands = [f64; AGE_BANDS.len()];

/// Exposure of the items of one lot at one unit.
#[derive(Clone, Copy, Debug)]
pub(super) struct Cell {
    pub(super) lot: LotId,
    pub(super) unit: UnitId,
    pub(super) bands: Bands,
    /// The same times the age in years.
    pub(super) ages: Bands,
}

/// Items of one lot in one age band over a span of days.
#[derive(Clone, Copy, Debug)]
pub(super) struct Segment {
    /// The place of the lot among those with cells.
    pub(super) lot: u32,
    pub(super) band: u32,
    pub(super) from: i32,
    pub(super) to: i32,
    pub(super) items: f64,
}

/// Exposure of one part in all items that contain it.
pub(super) struct PartExposure<'a> {
    pub(super) part: PartId,
    ledger: &'a Ledger,
    /// The days of which service is in the cells.
    window: Window,
    /// Item-years over all lots, known or not: on all days where the levels are compared, else on those of the window.
    pub(super) years: Span,
    /// The best of them on the days of the window.
    pub(super) recorded: f64,
    /// Cells of known lots, by lot and unit.
    cells: Vec<Cell>,
    /// Where the cells of each lot begin.
    begins: Vec<u32>,
    /// What the items are worn for; nothing for a choice among the items.
    pub(super) spent: Spent,
}

impl<'a> PartExposure<'a> {
    pub(super) fn new(field: &Field, ledger: &'a Ledger, part: PartId, window: Window) -> Self {
        Self::with_segments(field, ledger, (part, window), |_| {})
    }

    /// The same, each segment of it told on the way, lot by lot.
    pub(super) fn with_segments(
        field: &Field,
        ledger: &'a Ledger,
        (part, window): (PartId, Window),
        told: impl FnMut(Segment),
    ) -> Self {
        let holders = Holders::of_part(field, part);
        let lots = holders.lots(field);
        let holds = |stock| match stock {
            Stock::Lot(lot) => lots[lot],
            Stock::Unknown(..) => holders.has_stock(field, stock),
        };
        let spent = Spent::new(field, ledger, holds);
        let window = window.recorded(ledger.as_of);
        let exposure = Self::of_spells(ledger, part, window, ledger.of_stocks(holds), told);
        let mut years = exposure.years;
        if window != Window::until(ledger.as_of) {
            years = Span::default();
            ledger.of_stocks(holds).for_each(|spell| years.add_all(spell.books, spell.item_years()));
        }
        Self { years, spent, ..exposure }
    }

    /// Exposure of a part in the spells that pass a test, on the days of a window.
    pub(super) fn within(
        ledger: &'a Ledger,
        part: PartId,
        window: Window,
        wanted: impl Fn(&Spell) -> bool,
    ) -> Self {
        let mut previous: Option<(Stock, bool)> = None;
        let spells = ledger.spells.iter().filter(|spell| {
            // Spells are sorted by stock, so that the structure is asked once a lot where the test depends on it.
            // Items with a replaced part are asked about each time: they may pass where the others of their lot don't.
            let is_plain = ledger.clocks.all(spell.clocks).is_empty();
            let known = previous.filter(|(stock, _)| is_plain && *stock == spell.stock);
            let pass = known.map_or_else(|| wanted(spell), |(_, pass)| pass);
            if is_plain {
                previous = Some((spell.stock, pass));
            }
            pass
        });
        Self::of_spells(ledger, part, window, spells, |_| {})
    }

    /// The same of some spells, which come in the ledger's order; each segment of known lots is told on the way.
    fn of_spells<'s>(
        ledger: &'a Ledger,
        part: PartId,
        window: Window,
        spells: impl Iterator<Item = &'s Spell>,
        mut told: impl FnMut(Segment),
    ) -> Self {
        let mut years = Span::default();
        let mut cells: Vec<Cell> = Vec::new();
        let mut lots = 0;
        for spell in spells {
            let (from, to) = (spell.from.max(window.from), spell.to.min(window.to));
            if from > to {
                continue;
            }
            years.add_all(spell.books, f64::from(spell.quantity) * to.years_since(from));
            let Some(lot) = spell.lot().filter(|_| spell.books.has(Books::BEST)) else {
                continue;
            };
            match cells.last() {
                Some(cell) if (cell.lot, cell.unit) == (lot, spell.unit) => {}
                last => {
                    lots += u32::from(last.is_none_or(|cell| cell.lot != lot));
                    let none = Bands::default();
                    cells.push(Cell { lot, unit: spell.unit, bands: none, ages: none });
                }
            }
            let cell = cells.last_mut().expect("pushed above");
            let items = f64::from(spell.quantity);
            let per_day = items / DAYS_PER_YEAR;
            let (mut age, mut from) =
                ((ledger.part_age_days(spell, part) + from.0 - spell.from.0).max(0), from.0);
            split_by_age(age, Day(from), to, |band, days| {
                let years = f64::from(days) * per_day;
                cell.bands[band] += years;
                cell.ages[band] += years * (f64::from(age) + f64::from(days) / 2.0) / DAYS_PER_YEAR;
                told(Segment { lot: lots - 1, band: band as u32, from, to: from + days, items });
                (age, from) = (age + days, from + days);
            });
        }
        let begins = begins(&cells, ledger.lots(), |cell| Some(cell.lot.index()));
        let recorded = years.best;
        Self { part, ledger, window, years, recorded, cells, begins, spent: Spent::default() }
    }

    /// The ages at which the part failed, by the same books.
    pub(super) fn failed_ages(&self) -> FailedAges<'a> {
        FailedAges { ledger: self.ledger, part: self.part }
    }

    /// The date of the books it is from.
    pub(super) fn as_of(&self) -> Day {
        self.ledger.as_of
    }

    /// Cells, one slice a lot.
    pub(super) fn lots(&self) -> impl Iterator<Item = &[Cell]> {
        self.cells.chunk_by(|a, b| a.lot == b.lot)
    }

    /// Item-years of a lot on all days.
    pub(super) fn years_of(&self, lot: LotId) -> f64 {
        let spells = self.ledger.of_lot(lot).iter().filter(|spell| spell.books.has(Books::BEST));
        spells.fold(0.0, |sum, spell| sum + spell.item_years())
    }

    /// Whether failures of a day are compared.
    pub(super) fn compares(&self, day: Day) -> bool {
        self.window.from <= day
    }

    /// Cells of one lot.
    pub(super) fn of_lot(&self, lot: LotId) -> &[Cell] {
        &self.cells[self.begins[lot.index()] as usize..self.begins[lot.index() + 1] as usize]
    }
}

/// One lot's exposure: its item-years by age, over all units.
pub(super) fn by_age(cells: &[Cell]) -> Bands {
    let mut bands = Bands::default();
    for cell in cells {
        for (sum, years) in bands.iter_mut().zip(cell.bands) {
            *sum += years;
        }
    }
    bands
}
