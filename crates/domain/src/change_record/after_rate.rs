//! The failure rate to be expected after the change: the rate before, times the predicted ratio.

use stats::product::{Estimate, limits};
use stats::{Interval, StatsError};

use super::Prediction;

/// A rate with its limits.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AfterRate {
    /// Failures per 1,000 item-years.
    pub estimate: f64,
    /// Lower limit.
    pub low: f64,
    /// Upper limit.
    pub high: f64,
}

/// Multiplies the observed rate before (per 1,000 item-years, with its limits) by the predicted ratio, the
/// uncertainties of both carried through (`stats::product::limits`).
///
/// # Errors
/// Limits that are not around their estimate.
pub fn predicted_after(before: Estimate, prediction: &Prediction) -> Result<AfterRate, StatsError> {
    let Prediction { ratio_low, ratio_best, ratio_high, .. } = *prediction;
    let ratio = Estimate { value: ratio_best, interval: Interval { low: ratio_low, high: ratio_high } };
    let Interval { low, high } = limits(before, ratio)?;
    Ok(AfterRate { estimate: before.value * ratio_best, low, high })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::change_record::PredictionBasis;

    #[test]
    fn the_uncertainty_of_the_rate_before_stays_in_the_rate_after() {
        let before = Estimate { value: 12.0, interval: Interval { low: 8.0, high: 17.0 } };
        let prediction = Prediction {
            basis: PredictionBasis::Judged,
            ratio_low: 0.5,
            ratio_best: 0.5,
            ratio_high: 0.5,
            source: "judged".into(),
        };
        let after = predicted_after(before, &prediction).expect("in range");
        assert!((after.estimate - 6.0).abs() < 1e-12);
        assert!((after.low - 4.0).abs() < 1e-12 && (after.high - 8.5).abs() < 1e-12);
    }
}
