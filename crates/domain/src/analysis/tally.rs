//! The reports of one recurrence by item lot, unit and age, as far as they may be compared.

use std::collections::BTreeMap;

use rustc_hash::FxHashMap;

use super::compared::Compared;
use super::dispersion::{AtUnit, UnitScatter};
use super::levels::Levels;
use super::part_exposure::{Bands, Cell, PartExposure};
use super::standard::Standard;
use super::unit_ratios::UnitRatios;
use super::usual::UnitRates;
use crate::field::{ActivityId, Field, Id as _, PartId, UnitId};

/// The reports that may be compared.
pub(super) struct Tally {
    /// Those with a lot, by its place among the levels' lots.
    pub(super) counts: Vec<Bands>,
    /// Of these, lots guessed from a misread label.
    pub(super) guessed: Vec<u32>,
    /// The same reports by lot and unit, in order.
    pub(super) cells: Vec<(usize, UnitId, f64)>,
    /// Reports with a lot in service.
    pub(super) read: u32,
    /// Reports whose lot is not known, by item.
    pub(super) unread: FxHashMap<PartId, u32>,
    /// The same by unit.
    pub(super) unread_at: BTreeMap<(UnitId, PartId), u32>,
    /// Reports by unit and activity, label read or not, on days on which that use is on record.
    pub(super) doing: BTreeMap<(UnitId, ActivityId), u32>,
    /// Counts and exposure of each stratum.
    pub(super) standards: Vec<Standard>,
    /// Variance between units.
    pub(super) scatter: f64,
    /// Rates by age and unit.
    pub(super) rates: UnitRates,
}

impl Tally {
    pub(super) fn new(
        field: &Field,
        exposure: &PartExposure<'_>,
        levels: &Levels,
        unit_ratios: &UnitRatios,
        compared: &[Compared<'_>],
    ) -> Self {
        let mut tally = Self {
            counts: vec![Bands::default(); levels.lots.len()],
            guessed: vec![0; levels.lots.len()],
            cells: Vec::new(),
            read: 0,
            unread: FxHashMap::default(),
            unread_at: BTreeMap::new(),
            doing: BTreeMap::new(),
            standards: vec![Standard::default(); levels.strata.len()],
            scatter: 0.0,
            rates: UnitRates::default(),
        };
        let mut by_unit = vec![0.0; field.units.len()];
        let mut placed: Vec<(usize, UnitId)> = Vec::new();
        for compared in compared {
            let report = compared.report;
            if report.received_on < unit_ratios.until {
                by_unit[report.unit.index()] += 1.0;
            }
            if let Some(activity) = report.activity
                && exposure.spent.covers(report.unit, activity, report.found_on)
            {
                *tally.doing.entry((report.unit, activity)).or_default() += 1;
            }
            let Some(lot) = compared.lot else {
                *tally.unread.entry(report.item).or_default() += 1;
                *tally.unread_at.entry((report.unit, report.item)).or_default() += 1;
                continue;
            };
            let Some(at) = levels.find(lot, compared.part) else { continue };
            let Some(band) = compared.band else { continue };
            tally.read += 1;
            tally.counts[at][band] += 1.0;
            tally.guessed[at] += u32::from(compared.guessed);
            placed.push((at, report.unit));
        }
        placed.sort_unstable();
        let cell = |same: &[(usize, UnitId)]| (same[0].0, same[0].1, same.len() as f64);
        tally.cells = placed.chunk_by(|a, b| a == b).map(cell).collect();
        for (row, counts) in levels.lots.iter().zip(&tally.counts) {
            let standard = &mut tally.standards[row.stratum];
            standard.add(counts, &row.years);
        }
        tally.scatter = tally.scatter_between_units(exposure, levels);
        // Whole numbers, so that the order of the sum doesn't matter.
        let of_all: f64 = by_unit.iter().sum();
        let ratio = |unit: UnitId| unit_ratios.without(unit, by_unit[unit.index()], of_all);
        tally.rates = UnitRates::new(field, exposure, levels, ratio, &tally.counts, &tally.cells);
        tally
    }

    fn scatter_between_units(&self, exposure: &PartExposure<'_>, levels: &Levels) -> f64 {
        let rates: Vec<Bands> = self.standards.iter().map(Standard::rates).collect();
        let mut scatter = UnitScatter::default();
        for of_lot in self.cells.chunk_by(|a, b| a.0 == b.0) {
            let at = of_lot[0].0;
            let rates = &rates[levels.lots[at].stratum];
            let at_unit = |cell: &Cell| AtUnit {
                unit: cell.unit.index(),
                seen: of_lot.iter().find(|of| of.1 == cell.unit).map_or(0.0, |of| of.2),
                expected: cell.bands.iter().zip(rates).map(|(years, rate)| years * rate).sum(),
            };
            let at_units: Vec<AtUnit> = exposure.row(at).iter().map(at_unit).collect();
            scatter.add_lot(at_units.iter().copied());
        }
        scatter.variance()
    }

    /// Unread labels on the items of some strata.
    pub(super) fn unread_on(
        &self,
        field: &Field,
        levels: &Levels,
        strata: impl Iterator<Item = usize>,
    ) -> u32 {
        let mut items: Vec<PartId> = strata.map(|stratum| levels.item(field, stratum)).collect();
        items.sort_unstable();
        items.dedup();
        items.iter().filter_map(|item| self.unread.get(item)).sum()
    }
}
