//! Over-dispersion between units: units use and report differently, and that alone makes lots differ.

use super::part_exposure::{Bands, Cell};
use crate::field::{Id, UnitId};

/// Estimates the variance between units of the true rate relative to its mean, from how reports of each lot spread
/// over its units.
///
/// Given a lot's own count `n` and its expected share `p` at each unit, the excess of unit counts `R = sum(x - n p)`
/// has variance `A = sum(n p (1 - p))` by chance alone; the moment estimate is `sum(R^2 - A) / sum(A^2)`, not below 0.
/// A bad lot raises its units' expectation with its own count, so that it does not pass for scatter between units.
/// Lots at one unit only say nothing, nor do reports of a unit that never had the lot in service, as a store's of what was
/// turned in. Approximate: cross terms between units are left out.
#[derive(Debug, Default)]
pub(super) struct UnitScatter {
    /// By unit: reports less expectation, and variance by chance.
    units: Vec<(f64, f64)>,
}

impl UnitScatter {
    /// Adds a lot with its cells, the rate at each age, and its reports by unit.
    pub(super) fn add_lot(
        &mut self,
        cells: &[Cell],
        rates: &Bands,
        reports: impl Iterator<Item = (UnitId, f64)>,
    ) {
        let expected: Vec<f64> = cells.iter().map(|cell| expected(cell, rates)).collect();
        let total: f64 = expected.iter().sum();
        if total <= 0.0 {
            return;
        }
        let mut count = 0.0;
        for (unit, n) in reports.filter(|of| cells.iter().any(|cell| cell.unit == of.0)) {
            self.unit(unit).0 += n;
            count += n;
        }
        for (cell, expected) in cells.iter().zip(expected) {
            let share = expected / total;
            let unit = self.unit(cell.unit);
            unit.0 -= count * share;
            unit.1 += count * share * (1.0 - share);
        }
    }

    fn unit(&mut self, unit: UnitId) -> &mut (f64, f64) {
        if self.units.len() <= unit.index() {
            self.units.resize(unit.index() + 1, (0.0, 0.0));
        }
        &mut self.units[unit.index()]
    }

    /// Variance between units, relative.
    pub(super) fn variance(&self) -> f64 {
        let (mut excess, mut squares) = (0.0, 0.0);
        for (residual, chance) in &self.units {
            excess += residual * residual - chance;
            squares += chance * chance;
        }
        if squares > 0.0 { (excess / squares).max(0.0) } else { 0.0 }
    }
}

fn expected(cell: &Cell, rates: &Bands) -> f64 {
    cell.bands.iter().zip(rates).map(|(years, rate)| years * rate).sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::field::LotId;
    use crate::ledger::OwnPart;

    fn cells(lot: usize, units: usize) -> Vec<Cell> {
        let mut bands = Bands::default();
        bands[0] = 10.0;
        let (lot, unit) = (LotId::from_index(lot), UnitId::from_index);
        (0..units).map(|u| Cell { lot, part: OwnPart::AsMade, unit: unit(u), bands, ages: bands }).collect()
    }

    #[test]
    fn even_counts_show_no_scatter_and_uneven_ones_do() {
        let mut rates = Bands::default();
        rates[0] = 1.0;
        let scatter = |counts: [f64; 4]| {
            let mut scatter = UnitScatter::default();
            let reports = (0..).zip(counts).map(|(unit, n)| (UnitId::from_index(unit), n));
            scatter.add_lot(&cells(0, 4), &rates, reports);
            scatter.variance()
        };
        assert_eq!(scatter([20.0, 21.0, 19.0, 20.0]), 0.0);
        assert!(scatter([60.0, 5.0, 5.0, 10.0]) > 0.5);
    }

    #[test]
    fn a_bad_lot_is_not_scatter() {
        let mut rates = Bands::default();
        rates[0] = 1.0;
        let mut scatter = UnitScatter::default();
        for (lot, n) in [(0, 10.0), (1, 100.0)] {
            scatter.add_lot(&cells(lot, 4), &rates, (0..4).map(|unit| (UnitId::from_index(unit), n)));
        }
        assert_eq!(scatter.variance(), 0.0);
    }

    /// A store turns in what was found at all units: that says nothing of how units differ.
    #[test]
    fn reports_of_a_unit_that_never_had_the_lot_are_not_scatter() {
        let mut rates = Bands::default();
        rates[0] = 1.0;
        let mut scatter = UnitScatter::default();
        let reports = [(0, 20.0), (1, 20.0), (2, 20.0), (3, 20.0), (9, 50.0)];
        scatter.add_lot(
            &cells(0, 4),
            &rates,
            reports.map(|(unit, n)| (UnitId::from_index(unit), n)).into_iter(),
        );
        assert_eq!(scatter.variance(), 0.0);
    }
}
