//! How a rate goes with age, from how each lot's own reports spread over its ages.
//!
//! The rate at age `t` is a power `t^(shape - 1)` with a correction in each age band. It is fitted given each lot's count, so
//! that a bad lot does not pass for ageing, nor ageing for a bad lot, and it tells what young peers will show when old.

use super::levels::LotRow;
use super::part_exposure::Bands;
use crate::ledger::AGE_BANDS;

/// What is taken of the shape before any report is seen: soft goods ageing out, more or less.
const SHAPE: f64 = 1.5;
/// Standard deviation of that.
const SHAPE_OPEN: f64 = 1.0;
/// Reports in one age band that count as much as the power law.
const REPORTS_FOR_A_BAND: f64 = 10.0;
/// Rounds of the fit of the shape.
const ROUNDS: usize = 12;
/// Ages are taken as at least this many years.
const YOUNGEST: f64 = 0.02;

/// The logarithm of the mean age in each band where there is exposure, from exposure times age and exposure.
pub(super) fn log_of_mean(ages: &Bands, years: &Bands) -> Bands {
    let mut logs = Bands::default();
    for band in (0..AGE_BANDS.len()).filter(|&band| years[band] > 0.0) {
        logs[band] = (ages[band] / years[band]).max(YOUNGEST).ln();
    }
    logs
}

/// The reports of a lot by age, with its exposure.
struct Told<'a> {
    counts: &'a Bands,
    years: &'a Bands,
    log_ages: &'a Bands,
}

/// A rate by age, up to a factor.
#[derive(Clone, Copy, Debug)]
pub(super) struct Ageing {
    shape: f64,
    /// Variance of the shape.
    pub(super) open: f64,
    bands: Bands,
}

/// Exposure weighted by the rate at its age, and its mean logarithm of the age times that.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Weighted {
    pub(super) years: f64,
    pub(super) logs: f64,
}

impl Weighted {
    /// Adds a multiple of another.
    pub(super) fn add(&mut self, other: Self, times: f64) {
        self.years += times * other.years;
        self.logs += times * other.logs;
    }

    /// The mean logarithm of the age.
    pub(super) fn mean_log(self) -> f64 {
        if self.years > 0.0 { self.logs / self.years } else { 0.0 }
    }
}

impl Default for Ageing {
    fn default() -> Self {
        let mut bands = Bands::default();
        bands.fill(1.0);
        Self { shape: SHAPE, open: SHAPE_OPEN * SHAPE_OPEN, bands }
    }
}

impl Ageing {
    /// Fits it to the counts of lots by age.
    pub(super) fn fit(lots: &[LotRow], counts: &[Bands]) -> Self {
        let told = lots.iter().zip(counts).filter(|(_, counts)| counts.iter().sum::<f64>() > 0.0);
        let told: Vec<Told<'_>> =
            told.map(|(row, counts)| Told { counts, years: &row.years, log_ages: &row.log_ages }).collect();
        let mut ageing = Self::default();
        ageing.fit_shape(&told);
        ageing.fit_bands(&told);
        ageing.fit_shape(&told);
        ageing
    }

    fn fit_shape(&mut self, told: &[Told<'_>]) {
        let prior = 1.0 / (SHAPE_OPEN * SHAPE_OPEN);
        for _ in 0..ROUNDS {
            let (mut score, mut information) = ((SHAPE - self.shape) * prior, prior);
            for Told { counts, years, log_ages } in told {
                let (mut sum, mut first, mut second, mut n, mut logs) = (0.0, 0.0, 0.0, 0.0, 0.0);
                for band in (0..AGE_BANDS.len()).filter(|&band| years[band] > 0.0) {
                    let log = log_ages[band];
                    let weight = self.in_band(band, years[band], log);
                    (sum, first, second) = (sum + weight, first + weight * log, second + weight * log * log);
                    (n, logs) = (n + counts[band], logs + counts[band] * log);
                }
                if sum > 0.0 {
                    let mean = first / sum;
                    score += logs - n * mean;
                    information += n * (second / sum - mean * mean).max(0.0);
                }
            }
            self.open = 1.0 / information;
            let step = (score / information).clamp(-1.0, 1.0);
            self.shape = (self.shape + step).clamp(0.1, 8.0);
            if step.abs() < 1e-6 {
                break;
            }
        }
    }

    fn fit_bands(&mut self, told: &[Told<'_>]) {
        let (mut seen, mut expected) = (Bands::default(), Bands::default());
        for Told { counts, years, log_ages } in told {
            let mut weights = Bands::default();
            for band in (0..AGE_BANDS.len()).filter(|&band| years[band] > 0.0) {
                weights[band] = self.in_band(band, years[band], log_ages[band]);
            }
            let sum: f64 = weights.iter().sum();
            // A report at an age that its lot has no exposure at says nothing of ageing.
            let n: f64 = counts.iter().zip(&weights).filter(|(_, w)| **w > 0.0).map(|(n, _)| n).sum();
            for band in (0..AGE_BANDS.len()).filter(|&band| weights[band] > 0.0) {
                seen[band] += counts[band];
                expected[band] += n * weights[band] / sum;
            }
        }
        for band in 0..AGE_BANDS.len() {
            self.bands[band] = (REPORTS_FOR_A_BAND + seen[band]) / (REPORTS_FOR_A_BAND + expected[band]);
        }
    }

    /// Exposure weighted by the rate at its mean age, of which this is the logarithm.
    fn in_band(&self, band: usize, years: f64, log_age: f64) -> f64 {
        years * self.bands[band] * ((self.shape - 1.0) * log_age).exp()
    }

    /// A cell's exposure weighted by the rate at its ages.
    pub(super) fn weighted(&self, years: &Bands, log_ages: &Bands) -> Weighted {
        let mut sum = Weighted::default();
        for band in (0..AGE_BANDS.len()).filter(|&band| years[band] > 0.0) {
            let years = self.in_band(band, years[band], log_ages[band]);
            sum.add(Weighted { years, logs: years * log_ages[band] }, 1.0);
        }
        sum
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Lots of 100 items watched to the ages given, with the reports that a rate of `t^2` times the lot's own brings.
    fn watched(lots: &[(f64, f64)]) -> Vec<(Bands, Bands, Bands)> {
        let band = |low: f64, high: f64, until: f64| (low.min(until), high.min(until));
        let of_lot = |&(until, times): &(f64, f64)| {
            let (mut counts, mut years, mut ages) = (Bands::default(), Bands::default(), Bands::default());
            let mut low = 0.0;
            for (at, &high) in AGE_BANDS.iter().enumerate() {
                let (from, to) = band(low, high, until);
                years[at] = 100.0 * (to - from);
                ages[at] = 100.0 * (to * to - from * from) / 2.0;
                counts[at] = times * (to.powi(3) - from.powi(3));
                low = high;
            }
            (counts, years, log_of_mean(&ages, &years))
        };
        lots.iter().map(of_lot).collect()
    }

    fn fitted(lots: &[(f64, f64)]) -> Ageing {
        let lots = watched(lots);
        let told: Vec<Told<'_>> =
            lots.iter().map(|(counts, years, log_ages)| Told { counts, years, log_ages }).collect();
        let mut ageing = Ageing::default();
        ageing.fit_shape(&told);
        ageing
    }

    #[test]
    fn the_shape_is_found_and_a_bad_lot_does_not_bend_it() {
        let alike = fitted(&[(5.0, 2.0), (3.0, 2.0), (2.0, 2.0)]);
        let oldest_bad = fitted(&[(5.0, 10.0), (3.0, 2.0), (2.0, 2.0)]);
        assert!((alike.shape - 3.0).abs() < 0.15, "{alike:?}");
        assert!((oldest_bad.shape - 3.0).abs() < 0.15, "{oldest_bad:?}");
        assert!(oldest_bad.open < alike.open, "more reports say more");
    }

    #[test]
    fn without_reports_nothing_is_learned() {
        let ageing = fitted(&[]);
        assert_eq!((ageing.shape, ageing.open), (SHAPE, SHAPE_OPEN * SHAPE_OPEN));
    }
}
