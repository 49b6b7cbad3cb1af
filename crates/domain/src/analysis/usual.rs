//! What is usual for a level in one recurrence: its expected count at its peers' rate, by age and by unit, and how well
//! that is known.
//!
//! Units use and report differently. Each unit has a ratio of its own: that of all its reports, times one for the mode that is
//! shrunk towards 1 as far as the unit's few reports leave it open. Items at a unit are held against that. Only what is still open about the units of a level then widens its test,
//! not the whole scatter between units. The level itself is left out of its peers' rate and of its units' ratios.

mod left_out;

use super::ageing::{Ageing, Weighted};
use super::dispersion::{AtUnit, UnitScatter};
use super::held::Sum;
use super::levels::{Levels, LotRow, Stratum};
use super::part_exposure::{Bands, PartExposure};
use crate::field::{Field, Id as _, UnitId};

/// Rounds of the fit of rates and ratios of units; they move little after the first few.
const ROUNDS: usize = 6;
/// Variance between units, relative, of what is theirs in one mode beyond what is theirs in all, where few reports say
/// little of it.
const USUAL_VARIANCE: f64 = 0.15;
/// It is never taken to be less.
const LEAST_VARIANCE: f64 = 0.05;

/// Reports of one unit, and what would be expected of its items if all units were alike.
#[derive(Clone, Copy, Debug, Default)]
struct Unit {
    seen: f64,
    expected: f64,
}

/// Items of one lot at one unit.
#[derive(Clone, Copy, Debug)]
struct Cell {
    unit: usize,
    weighted: Weighted,
    expected: f64,
    seen: f64,
}

/// A member of a level: a lot, by its place, and what of it counts as the level's.
#[derive(Clone, Copy, Debug)]
pub(super) struct Member {
    pub(super) lot: usize,
    /// Share of its exposure.
    pub(super) of_exposure: f64,
    /// Share of its reports.
    pub(super) of_reports: f64,
}

impl Member {
    /// A lot that belongs whole.
    pub(super) fn whole(lot: usize) -> Self {
        Self { lot, of_exposure: 1.0, of_reports: 1.0 }
    }
}

/// What a level has in one stratum or item.
struct Own {
    /// The stratum, or the first of the item's.
    of: Stratum,
    sum: Sum,
    /// Sum of the squared shares of its lots' exposure, times that exposure.
    squares: f64,
}

/// Rates of one recurrence by age and unit.
#[derive(Debug, Default)]
pub(super) struct UnitRates {
    /// One over the variance between units, relative.
    shape: f64,
    ageing: Ageing,
    units: Vec<Unit>,
    /// The ratio of each unit.
    ratios: Vec<f64>,
    /// By unit, and at each by stratum: expected of the items.
    at_units: Vec<f64>,
    /// For each lot, the places of its cells.
    first: Vec<usize>,
    cells: Vec<Cell>,
    /// By lot, each unit's exposure times its ratio.
    lots: Vec<(Stratum, Sum)>,
    strata: Vec<Sum>,
    /// The item of each stratum, by the first of its strata.
    items: Vec<Stratum>,
}

impl UnitRates {
    /// Fits ratios of units along with rates: `ratio = (shape + seen) / (shape + expected)`, the posterior mean where
    /// ratios follow a gamma distribution about 1.
    pub(super) fn new(
        field: &Field,
        exposure: &PartExposure<'_>,
        levels: &Levels,
        ratio: impl Fn(UnitId) -> f64,
        counts: &[Bands],
        reports: &[(usize, UnitId, f64)],
    ) -> Self {
        let ageing = Ageing::fit(&levels.lots, counts);
        let item = |stratum: Stratum| levels.item(field, stratum);
        let strata = 0..levels.strata.len();
        let first = |stratum| strata.clone().find(|&other| item(other) == item(stratum)).unwrap_or(stratum);
        let mut rates = Self { ageing, items: strata.clone().map(first).collect(), ..Self::default() };
        rates.add_cells(field, exposure, levels, ratio, reports);
        rates.shape = 1.0 / rates.variance();
        // All units are alike to begin with.
        rates.units.iter_mut().for_each(|unit| unit.expected = unit.seen);
        rates.settle(levels, counts);
        rates.weigh(levels, counts);
        rates.expect();
        rates
    }

    fn add_cells(
        &mut self,
        field: &Field,
        exposure: &PartExposure<'_>,
        levels: &Levels,
        ratio: impl Fn(UnitId) -> f64,
        reports: &[(usize, UnitId, f64)],
    ) {
        let mut places: Vec<Option<usize>> = vec![None; field.units.len()];
        let mut reports = reports.iter().peekable();
        let mut log_ages = levels.log_ages.iter();
        self.cells.reserve(levels.log_ages.len());
        for at in 0..levels.lots.len() {
            self.first.push(self.cells.len());
            for (cell, log_ages) in exposure.row(at).iter().zip(&mut log_ages) {
                let unit = *places[cell.unit.index()].get_or_insert(self.units.len());
                if unit == self.units.len() {
                    self.units.push(Unit::default());
                }
                let mut weighted = Weighted::default();
                weighted.add(self.ageing.weighted(&cell.bands, log_ages), ratio(cell.unit));
                self.cells.push(Cell { unit, weighted, expected: 0.0, seen: 0.0 });
            }
            while let Some(&(_, unit, n)) = reports.next_if(|r| r.0 == at) {
                // A unit that the books don't give the lot to has reports of it and yet nothing to expect.
                let own = &mut self.cells[self.first[at]..];
                let of_unit = |cell: &&mut Cell| Some(cell.unit) == places[unit.index()];
                if let Some(cell) = own.iter_mut().find(of_unit) {
                    cell.seen += n;
                    self.units[cell.unit].seen += n;
                }
            }
        }
        self.first.push(self.cells.len());
        debug_assert!(log_ages.next().is_none(), "levels and exposure are of the same books");
    }

    /// The variance of what units have of their own in this recurrence, relative.
    fn variance(&self) -> f64 {
        let mut scatter = UnitScatter::default();
        for at in 0..self.first.len() - 1 {
            let at_unit =
                |cell: &Cell| AtUnit { unit: cell.unit, seen: cell.seen, expected: cell.weighted.years };
            scatter.add_lot(self.of_lot(at).iter().map(at_unit));
        }
        scatter.variance_near(USUAL_VARIANCE).max(LEAST_VARIANCE)
    }

    fn of_lot(&self, at: usize) -> &[Cell] {
        &self.cells[self.first[at]..self.first[at + 1]]
    }

    /// Rounds of the fit but the last, of which all lots are wanted: on the way what each unit has of a stratum is enough.
    fn settle(&mut self, levels: &Levels, counts: &[Bands]) {
        let strata = levels.strata.len();
        let mut years = vec![0.0; strata * self.units.len()];
        let mut seen = vec![0.0; strata];
        for (at, (row, counts)) in levels.lots.iter().zip(counts).enumerate() {
            seen[row.stratum] += counts.iter().sum::<f64>();
            for cell in self.of_lot(at) {
                years[cell.unit * strata + row.stratum] += cell.weighted.years;
            }
        }
        let at_units = || years.chunks_exact(strata.max(1));
        for _ in 1..ROUNDS {
            self.set_ratios();
            let mut weighted = vec![0.0; strata];
            for (years, ratio) in at_units().zip(&self.ratios) {
                weighted.iter_mut().zip(years).for_each(|(sum, years)| *sum += ratio * years);
            }
            let rate = |(seen, years): (&f64, &f64)| if *years > 0.0 { seen / years } else { 0.0 };
            let rates: Vec<f64> = seen.iter().zip(&weighted).map(rate).collect();
            for (years, unit) in at_units().zip(&mut self.units) {
                unit.expected = years.iter().zip(&rates).map(|(years, rate)| rate * years).sum();
            }
        }
        self.set_ratios();
    }

    fn set_ratios(&mut self) {
        self.ratios = self.units.iter().map(|unit| self.shrunk(unit.seen, unit.expected)).collect();
    }

    fn shrunk(&self, seen: f64, expected: f64) -> f64 {
        (self.shape + seen) / (self.shape + expected)
    }

    fn weigh(&mut self, levels: &Levels, counts: &[Bands]) {
        let of_lot = |(at, row): (usize, &LotRow)| {
            let mut sum = Sum { seen: counts[at].iter().sum(), ..Sum::default() };
            self.of_lot(at).iter().for_each(|cell| sum.weighted.add(cell.weighted, self.ratios[cell.unit]));
            (row.stratum, sum)
        };
        self.lots = levels.lots.iter().enumerate().map(of_lot).collect();
        self.strata = vec![Sum::default(); levels.strata.len()];
        for (stratum, sum) in &self.lots {
            self.strata[*stratum].add(*sum, 1.0, 1.0);
        }
    }

    fn expect(&mut self) {
        self.units.iter_mut().for_each(|unit| unit.expected = 0.0);
        let strata = self.strata.len();
        self.at_units.clear();
        self.at_units.resize(strata * self.units.len(), 0.0);
        for (at, (stratum, _)) in self.lots.iter().enumerate() {
            let rate = self.strata[*stratum].rate();
            for cell in &mut self.cells[self.first[at]..self.first[at + 1]] {
                cell.expected = rate * cell.weighted.years;
                self.units[cell.unit].expected += cell.expected;
                self.at_units[cell.unit * strata + *stratum] += cell.expected;
            }
        }
        self.set_ratios();
    }
}
