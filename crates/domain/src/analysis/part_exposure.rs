//! Exposure of one part: item-years by lot, unit and age band.
//!
//! Lots, units and other levels are compared over the days of which reports are kept: an old lot's silent young years, from
//! before anybody reported, would make every newer one look bad.

use std::collections::BTreeMap;

use rustc_hash::FxHashSet;

use super::activities::Spent;
use super::failed_ages::FailedAges;
use super::holders::Holders;
use super::window::Window;
use crate::field::{DAYS_PER_YEAR, Day, Field, LotId, PartId, ReportFacts, Stock, Table, UnitId};
use crate::ledger::{AGE_BANDS, Books, Ledger, OwnPart, Span, Spell, split_by_age};

/// Item-years in each age band.
pub(super) type Bands = [f64; AGE_BANDS.len()];

/// Exposure of the items of one lot at one unit that have the part from one place.
#[derive(Clone, Copy, Debug)]
pub(super) struct Cell {
    pub(super) lot: LotId,
    /// Which one of the part they have: those of a lot that were given another are a row of their own.
    pub(super) part: OwnPart,
    pub(super) unit: UnitId,
    pub(super) bands: Bands,
    /// The same times the age in years.
    pub(super) ages: Bands,
}

/// Items of one lot in one age band over a span of days.
#[derive(Clone, Copy, Debug)]
pub(super) struct Segment {
    /// The place of its row of cells.
    pub(super) row: u32,
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
    /// Cells of known lots, by lot, part and unit.
    cells: Vec<Cell>,
    /// Where the cells of each lot and part begin, and where the last end.
    rows: Vec<usize>,
    /// Lots with several rows, for some of their items were given another part.
    split: FxHashSet<LotId>,
    /// Whether items of each lot contain the part.
    holds: Table<LotId, bool>,
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
        let own_part = |spell: &Spell| ledger.clocks.own_part(spell.clocks, part, |lot| lots[lot]);
        let spells = ledger.of_stocks(holds);
        let exposure = Self::of_spells((ledger, part, window), spells, own_part, told);
        let mut years = exposure.years;
        if window != Window::until(ledger.as_of) {
            years = Span::default();
            ledger.of_stocks(holds).for_each(|spell| years.add_all(spell.books, spell.item_years()));
        }
        Self { years, spent, holds: lots, ..exposure }
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
        Self::of_spells((ledger, part, window), spells, |_| OwnPart::AsMade, |_| {})
    }

    /// The same of some spells, which come in the ledger's order; each segment of known lots is told on the way.
    fn of_spells<'s>(
        (ledger, part, window): (&'a Ledger, PartId, Window),
        spells: impl Iterator<Item = &'s Spell>,
        own_part: impl Fn(&Spell) -> OwnPart,
        mut told: impl FnMut(Segment),
    ) -> Self {
        let mut years = Span::default();
        let (mut cells, mut rows, mut split) = (Vec::new(), Vec::new(), FxHashSet::default());
        let mut of_stock: Vec<&Spell> = Vec::new();
        let mut spells = spells.peekable();
        while let Some(first) = spells.next() {
            of_stock.clear();
            of_stock.push(first);
            of_stock.extend(std::iter::from_fn(|| spells.next_if(|spell| spell.stock == first.stock)));
            let parts = kept_apart((ledger, part, window), &of_stock, &own_part);
            if let (Some(lot), [_, _, ..]) = (first.lot(), parts.as_slice()) {
                split.insert(lot);
            }
            for &of_part in &parts {
                let begin = cells.len();
                let row = rows.len() as u32;
                for spell in of_stock.iter().filter(|spell| parts.len() == 1 || own_part(spell) == of_part) {
                    let (from, to) = (spell.from.max(window.from), spell.to.min(window.to));
                    if from > to {
                        continue;
                    }
                    years.add_all(spell.books, f64::from(spell.quantity) * to.years_since(from));
                    let Some(lot) = spell.lot().filter(|_| spell.books.has(Books::BEST)) else {
                        continue;
                    };
                    if cells[begin..].last().is_none_or(|cell: &Cell| cell.unit != spell.unit) {
                        let none = Bands::default();
                        cells.push(Cell { lot, part: of_part, unit: spell.unit, bands: none, ages: none });
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
                        told(Segment { row, band: band as u32, from, to: from + days, items });
                        (age, from) = (age + days, from + days);
                    });
                }
                if cells.len() > begin {
                    rows.push(begin);
                }
            }
        }
        rows.push(cells.len());
        let (recorded, spent, holds) = (years.best, Spent::default(), Table::default());
        Self { part, ledger, window, years, recorded, cells, rows, split, holds, spent }
    }

    /// The ages at which the part failed, by the same books.
    pub(super) fn failed_ages(&self) -> FailedAges<'a> {
        FailedAges { ledger: self.ledger, part: self.part }
    }

    /// The date of the books it is from.
    pub(super) fn as_of(&self) -> Day {
        self.ledger.as_of
    }

    /// Cells, one slice a lot and part.
    pub(super) fn rows(&self) -> impl Iterator<Item = &[Cell]> {
        self.rows.windows(2).map(|ends| &self.cells[ends[0]..ends[1]])
    }

    /// Cells of one row.
    pub(super) fn row(&self, at: usize) -> &[Cell] {
        &self.cells[self.rows[at]..self.rows[at + 1]]
    }

    /// Whether a lot has several rows.
    pub(super) fn is_split(&self, lot: LotId) -> bool {
        self.split.contains(&lot)
    }

    /// Which ones of the part may have failed in an item of a lot, each with its share: the one of an item known by number, else
    /// those of the lot's items that were at the unit when the day began, for what failed on the day of a replacement is the
    /// part that was taken out.
    pub(super) fn parts_there(&self, report: &ReportFacts, lot: LotId) -> Vec<(OwnPart, f64)> {
        let own = self.ledger.serials.own_part(report, self.part);
        let own = match own {
            Some(OwnPart::Of(new_lot)) if !self.holds[new_lot] => Some(OwnPart::OfUnknownLot),
            own => own,
        };
        if let Some(own) = own.filter(|own| *own != OwnPart::AsMade) {
            return vec![(own, 1.0)];
        }
        let day = report.found_on;
        let mut items: BTreeMap<OwnPart, u64> = BTreeMap::new();
        let here = self.ledger.of_lot_at(lot, report.unit).iter();
        for spell in here.filter(|s| s.books.has(Books::BEST) && s.from < day && day <= s.to) {
            *items.entry(self.own_part(spell)).or_default() += u64::from(spell.quantity);
        }
        // Its number tells that nobody gave it another, unless all that are there have one.
        if own.is_some() && items.contains_key(&OwnPart::AsMade) {
            return vec![(OwnPart::AsMade, 1.0)];
        }
        let all: u64 = items.values().sum();
        if all == 0 {
            return vec![(OwnPart::AsMade, 1.0)];
        }
        items.into_iter().map(|(part, n)| (part, n as f64 / all as f64)).collect()
    }

    fn own_part(&self, spell: &Spell) -> OwnPart {
        self.ledger.clocks.own_part(spell.clocks, self.part, |lot| self.holds[lot])
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
}

/// Up to this share of a lot's items that were given another part, without a number by which their failures are known, a failure
/// is taken for one of the others, and the lot counts as one. Common practice, no source.
pub(super) const FEW: f64 = 0.1;

/// Which ones of a part a stock's items are kept apart by: those that they have, or the one that nearly all have.
fn kept_apart(
    (ledger, part, window): (&Ledger, PartId, Window),
    of_stock: &[&Spell],
    own_part: impl Fn(&Spell) -> OwnPart,
) -> Vec<OwnPart> {
    if of_stock.iter().all(|spell| own_part(spell) == OwnPart::AsMade) {
        return vec![OwnPart::AsMade];
    }
    let mut years: BTreeMap<OwnPart, f64> = BTreeMap::new();
    for spell in of_stock {
        let (from, to) = (spell.from.max(window.from), spell.to.min(window.to));
        let days = if spell.books.has(Books::BEST) { (to.0 - from.0).max(0) } else { 0 };
        *years.entry(own_part(spell)).or_default() += f64::from(spell.quantity) * f64::from(days);
    }
    let all: f64 = years.values().sum();
    let is_told = of_stock[0].lot().is_some_and(|lot| ledger.serials.tell_of(lot, part));
    let most = years.iter().max_by(|a, b| a.1.total_cmp(b.1)).map(|(part, years)| (*part, *years));
    match most {
        Some((part, most)) if !is_told && most >= (1.0 - FEW) * all => vec![part],
        _ => years.into_keys().collect(),
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
