//! Over-dispersion between units: units use and report differently, and that alone makes lots differ.

use super::part_exposure::{Bands, Cell};
use crate::field::{Id, UnitId};

/// Estimates the variance between units of the true rate relative to its mean, from how reports of each lot spread
/// over its units.
///
/// Given a lot's own count `n` and its expected share `p` at each unit, the excess of unit counts `R = sum(x - n p)`
/// has variance `A = sum(n p (1 - p))` by chance alone; the moment estimate is `sum(R^2 - A) / sum(A^2)`, not below 0.
/// A bad lot raises its units' expectation with its own count, so that it does not pass for scatter between units.
/// Lots at one unit only say nothing. Approximate: cross terms between units are left out.
#[derive(Debug, Default)]
pub(super) struct UnitScatter {
    /// By unit: reports less expectation, and variance by chance.
    units: Vec<(f64, f64)>,
}

impl UnitScatter {
    /// Adds a lot with its count, its cells and the rate at each age.
    pub(super) fn add_lot(&mut self, count: f64, cells: &[Cell], rates: &Bands) {
        let expected: Vec<f64> = cells.iter().map(|cell| expected(cell, rates)).collect();
        let total: f64 = expected.iter().sum();
        if total <= 0.0 {
            return;
        }
        for (cell, expected) in cells.iter().zip(expected) {
            let share = expected / total;
            let unit = self.unit(cell.unit);
            unit.0 -= count * share;
            unit.1 += count * share * (1.0 - share);
        }
    }

    /// Adds one report at a unit.
    pub(super) fn add_report(&mut self, unit: UnitId) {
        self.unit(unit).0 += 1.0;
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

    fn cells(lot: usize, units: usize) -> Vec<Cell> {
        let mut bands = Bands::default();
        bands[0] = 10.0;
        let (lot, unit) = (LotId::from_index(lot), UnitId::from_index);
        (0..units).map(|u| Cell { lot, unit: unit(u), bands, ages: bands }).collect()
    }

    #[test]
    fn even_counts_show_no_scatter_and_uneven_ones_do() {
        let mut rates = Bands::default();
        rates[0] = 1.0;
        let scatter = |counts: [usize; 4]| {
            let mut scatter = UnitScatter::default();
            scatter.add_lot(counts.iter().sum::<usize>() as f64, &cells(0, 4), &rates);
            for (unit, n) in counts.into_iter().enumerate() {
                (0..n).for_each(|_| scatter.add_report(UnitId::from_index(unit)));
            }
            scatter.variance()
        };
        assert_eq!(scatter([20, 21, 19, 20]), 0.0);
        assert!(scatter([60, 5, 5, 10]) > 0.5);
    }

    #[test]
    fn a_bad_lot_is_not_scatter() {
        let mut rates = Bands::default();
        rates[0] = 1.0;
        let mut scatter = UnitScatter::default();
        for (lot, n) in [(0, 40), (1, 400)] {
            scatter.add_lot(f64::from(n), &cells(lot, 4), &rates);
            (0..4).for_each(|u| (0..n / 4).for_each(|_| scatter.add_report(UnitId::from_index(u))));
        }
        assert_eq!(scatter.variance(), 0.0);
    }
}
