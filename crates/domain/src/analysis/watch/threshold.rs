//! The threshold that meets a false-alarm rate, from exact run lengths.

use std::collections::HashMap;
use std::sync::{Mutex, PoisonError};

use stats::cusum::{Alarm, Lattice, Side, average_run_length, reference_rate};

/// Parts of a report in the lattice on which run lengths are worked out.
const PARTS: u32 = 5;
/// Thresholds are sought up to so many reports in excess.
const MOST: u32 = 120;

/// Thresholds of series that all may be wrong once in so many expected reports.
pub(super) struct Thresholds {
    ratio: f64,
    /// Expected reports between two false signals.
    reports_between: f64,
    known: Mutex<HashMap<u32, Option<f64>>>,
}

impl Thresholds {
    pub(super) fn new(ratio: f64, reports_between: f64) -> Self {
        Self { ratio, reports_between, known: Mutex::default() }
    }

    /// The ratio of rates that is told apart best.
    pub(super) fn ratio(&self) -> f64 {
        self.ratio
    }

    /// The least threshold whose average run length, for weeks of this mean, is long enough; `None` where none is.
    ///
    /// A seldom series is looked at in parts of a report instead of weeks: then the run length in expected reports
    /// hangs on the threshold alone.
    pub(super) fn of(&self, mean: f64) -> Option<f64> {
        let k = reference_rate(1.0, self.ratio).ok()?;
        let reference = (f64::from(PARTS) * k * mean).round().clamp(1.0, 1e4) as u32;
        let (ratio, wanted) = (self.ratio, self.reports_between);
        let mut known = self.known.lock().unwrap_or_else(PoisonError::into_inner);
        *known.entry(reference).or_insert_with(|| least(ratio, reference, wanted))
    }
}

fn least(ratio: f64, reference: u32, reports_between: f64) -> Option<f64> {
    let k = reference_rate(1.0, ratio).ok()?;
    let mean = f64::from(reference) / (f64::from(PARTS) * k);
    let long_enough = |threshold: u32| {
        let chart = Lattice {
            parts: PARTS,
            reference,
            threshold,
            head_start: 0,
            side: Side::Upper,
            alarm: Alarm::AtLeast,
        };
        average_run_length(mean, &chart).is_ok_and(|periods| periods * mean >= reports_between)
    };
    let (mut low, mut high) = (PARTS, 4 * PARTS);
    while !long_enough(high) {
        if high == MOST * PARTS {
            return None;
        }
        (low, high) = (high, (high * 2).min(MOST * PARTS));
    }
    while high - low > 1 {
        let middle = low.midpoint(high);
        if long_enough(middle) {
            high = middle;
        } else {
            low = middle;
        }
    }
    Some(f64::from(high) / f64::from(PARTS))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The run length at the threshold found, by simulation of weeks with the same mean, is what was asked for.
    #[test]
    fn the_threshold_meets_the_run_length_asked_for() {
        let mut state = 7_u64;
        let mut draw = move || {
            state = state.wrapping_add(0x9E37_79B9_7F4A_7C15);
            let mut z = (state ^ (state >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
            z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
            z ^ (z >> 31)
        };
        for mean in [0.4, 1.5] {
            let threshold = Thresholds::new(2.0, 300.0).of(mean).expect("in reach");
            let chart = stats::cusum::Cusum {
                reference_rate: reference_rate(1.0, 2.0).expect("rates"),
                threshold,
                head_start: 0.0,
                side: Side::Upper,
                alarm: Alarm::AtLeast,
            };
            let weeks = stats::cusum::simulated_run_length(&chart, 1.0, &[mean], 1500, 100_000, &mut draw)
                .expect("settings");
            let reports = weeks * mean;
            assert!((300.0 * 0.85..300.0 * 1.5).contains(&reports), "mean {mean}: {reports}");
        }
    }
}
