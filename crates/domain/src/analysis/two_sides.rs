//! Both sides of a change by age and unit: what their comparison is made from, and how far units scatter in it.
//!
//! The reports of one unit hang together, for it uses all its items in its own way and tells of them in its own way. Where new
//! items went to some units sooner than to others, the ratio of both sides takes on a part of that. How much is read from how
//! far each unit lies from what the common rates give it, squares summed over units against what chance alone would bring
//! (K.-Y. Liang & S. L. Zeger, Biometrika 73 (1986) 13). Few units say little of it: the sum is drawn towards chance alone.

use stats::stratified::Stratum;

use super::part_exposure::{Bands, PartExposure};
use super::side::Side;
use crate::field::{Id as _, UnitId};
use crate::ledger::AGE_BANDS;

/// Units that count as much as taking it that they don't scatter.
const UNITS_BEFORE: f64 = 10.0;

/// Failures and item-years of one side by age band.
#[derive(Clone, Copy, Debug, Default)]
struct SideSum {
    counts: [u64; AGE_BANDS.len()],
    years: Bands,
}

impl SideSum {
    fn add_years(&mut self, years: &Bands) {
        self.years.iter_mut().zip(years).for_each(|(sum, years)| *sum += years);
    }

    /// The band of a failure: that of its age, or where the side has no exposure at that age the nearest where it has.
    fn nearest(&self, band: usize) -> Option<usize> {
        (0..AGE_BANDS.len()).filter(|&b| self.years[b] > 0.0).min_by_key(|&b| b.abs_diff(band))
    }
}

/// The two sides, together and at each unit.
#[derive(Clone, Debug)]
pub(super) struct TwoSides {
    all: [SideSum; 2],
    /// By unit.
    units: Vec<[SideSum; 2]>,
}

impl TwoSides {
    /// The exposure before and after, without failures yet.
    pub(super) fn new(units: usize, exposures: [PartExposure<'_>; 2]) -> Self {
        let mut both = Self { all: Default::default(), units: vec![Default::default(); units] };
        for (side, exposure) in exposures.iter().enumerate() {
            for cell in exposure.rows().flatten() {
                both.all[side].add_years(&cell.bands);
                both.units[cell.unit.index()][side].add_years(&cell.bands);
            }
        }
        both
    }

    /// Counts a failure at a unit and an age; on neither side it does not count.
    pub(super) fn add_failure(&mut self, side: Side, unit: UnitId, band: usize) {
        let side = match side {
            Side::Before => 0,
            Side::After => 1,
            Side::Mixed(_) | Side::Neither => return,
        };
        if let Some(band) = self.all[side].nearest(band) {
            self.all[side].counts[band] += 1;
            self.units[unit.index()][side].counts[band] += 1;
        }
    }

    /// Both sides by age band.
    pub(super) fn strata(&self) -> Vec<Stratum> {
        let [before, after] = &self.all;
        let stratum = |band| Stratum {
            before_count: before.counts[band],
            before_exposure: before.years[band],
            after_count: after.counts[band],
            after_exposure: after.years[band],
        };
        (0..AGE_BANDS.len()).map(stratum).collect()
    }

    /// Variance of the logarithm of the ratio over what it would be by chance alone, at least 1, where `ratio` is the common
    /// one, after over before.
    pub(super) fn scatter(&self, ratio: f64) -> f64 {
        if !(ratio > 0.0 && ratio.is_finite()) {
            return 1.0;
        }
        let [before, after] = &self.all;
        // By age: the rate before, and the share of failures that fall on the new side.
        let common = |band: usize| {
            let [old, new] = [before.years[band], ratio * after.years[band]];
            let both = (before.counts[band] + after.counts[band]) as f64;
            (old > 0.0 && new > 0.0).then(|| (both / (old + new), new / (old + new)))
        };
        let common: Vec<Option<(f64, f64)>> = (0..AGE_BANDS.len()).map(common).collect();
        let (mut squares, mut chance, mut of_squares) = (0.0, 0.0, 0.0);
        for [before, after] in &self.units {
            let (mut residual, mut variance) = (0.0, 0.0);
            for (band, common) in common.iter().enumerate() {
                let Some((rate, share)) = *common else { continue };
                let [old, new] = [rate * before.years[band], ratio * rate * after.years[band]];
                residual += (after.counts[band] as f64 - new) * (1.0 - share);
                residual -= (before.counts[band] as f64 - old) * share;
                variance += new * (1.0 - share).powi(2) + old * share * share;
            }
            squares += residual * residual;
            chance += variance;
            of_squares += variance * variance;
        }
        if !(chance > 0.0 && squares.is_finite()) {
            return 1.0;
        }
        // As many units alike would say as much.
        let units = chance * chance / of_squares;
        ((units * squares / chance + UNITS_BEFORE) / (units + UNITS_BEFORE)).max(1.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two sides of one age at some units, each with failures and item-years before and after.
    fn sides(units: &[[(u64, f64); 2]]) -> TwoSides {
        let mut both = TwoSides { all: Default::default(), units: vec![Default::default(); units.len()] };
        for (at, unit) in units.iter().enumerate() {
            for (side, &(count, years)) in unit.iter().enumerate() {
                for sum in [&mut both.all[side], &mut both.units[at][side]] {
                    sum.counts[0] += count;
                    sum.years[0] += years;
                }
            }
        }
        both
    }

    #[test]
    fn units_alike_do_not_scatter() {
        let alike = sides(&[[(10, 100.0), (5, 100.0)]; 20]);
        assert_eq!(alike.scatter(0.5), 1.0);
        let one = sides(&[[(48, 4000.0), (6, 2000.0)]]);
        assert_eq!(one.scatter(0.25), 1.0, "one unit can't scatter");
    }

    /// By hand, with a ratio of 1: every unit has 100 item-years on one side alone. Rates are 0.1 and shares a half, so that a
    /// unit with 16 (or 4) failures lies 6 x 1/2 = 3 off, squared 9, and chance gives it 10 x 1/4 = 2.5: 3.6 times as much.
    /// Forty units against ten: (40 x 3.6 + 10) / 50.
    #[test]
    fn units_that_have_one_side_each_and_rates_of_their_own_widen_the_ratio() {
        let before = [[(16, 100.0), (0, 0.0)], [(4, 100.0), (0, 0.0)]];
        let after = [[(0, 0.0), (16, 100.0)], [(0, 0.0), (4, 100.0)]];
        let units: Vec<_> = [before, after].concat().repeat(10);
        assert!((sides(&units).scatter(1.0) - (40.0 * 3.6 + 10.0) / 50.0).abs() < 1e-9);
    }

    /// The same units with both sides each: their own rates fall out of the ratio.
    #[test]
    fn units_that_have_both_sides_alike_do_not_widen_it() {
        let units = [[(16, 100.0), (16, 100.0)], [(4, 100.0), (4, 100.0)]].repeat(20);
        assert_eq!(sides(&units).scatter(1.0), 1.0);
    }
}
