//! Demonstrating reliability: how many units must pass a test, with how many failures allowed.

use crate::binomial;
use crate::error::{StatsError, positive};
use crate::special::beta;
use crate::value::{Confidence, Probability};

fn checked(reliability: Probability) -> Result<f64, StatsError> {
    let value = reliability.value();
    if value > 0.0 && value < 1.0 {
        Ok(value)
    } else {
        Err(StatsError::OutOfRange { what: "reliability", value, accepted: "above 0 and below 1" })
    }
}

/// Chance that `trials` units of the given reliability show at most the allowed failures: the risk of accepting.
///
/// `sum over i <= c of C(n, i) (1 - R)^i R^(n - i)`; 1 when no more units than allowed failures are tested.
pub fn acceptance_risk(reliability: Probability, trials: u64, allowed_failures: u64) -> f64 {
    if trials <= allowed_failures {
        return 1.0;
    }
    let (failures, rest) = (allowed_failures as f64 + 1.0, (trials - allowed_failures) as f64);
    beta::tails(failures, rest, reliability.complement(), reliability.value()).upper
}

/// The smallest number of units whose test with at most the allowed failures shows the reliability at the confidence.
///
/// The smallest `n` with [`acceptance_risk`] at most `1 - confidence`; without failures `ceil(ln(1-C)/ln R)`.
///
/// Source: the binomial demonstration tables in common use, such as 59 units for 95 % at 95 %.
///
/// # Errors
/// [`StatsError::OutOfRange`] for a reliability of 0 or 1, or more than 1e15 units needed.
///
/// ```
/// use stats::{Confidence, Probability, success_run::trials_needed};
/// assert_eq!(trials_needed(Probability::new(0.95).unwrap(), Confidence::NINETY_FIVE, 0), Ok(59));
/// assert_eq!(trials_needed(Probability::new(0.95).unwrap(), Confidence::NINETY_FIVE, 1), Ok(93));
/// ```
pub fn trials_needed(
    reliability: Probability,
    confidence: Confidence,
    allowed_failures: u64,
) -> Result<u64, StatsError> {
    checked(reliability)?;
    // A product such as 1 - 0.9 can miss its decimal by a rounding, which must not cost a unit.
    let risk = confidence.risk() * (1.0 + 1e-12);
    let enough = |n: u64| acceptance_risk(reliability, n, allowed_failures) <= risk;
    let mut high = allowed_failures.saturating_add(1);
    while !enough(high) {
        if high > 1_000_000_000_000_000 {
            let (what, accepted) = ("number of units needed", "at most 1e15");
            return Err(StatsError::OutOfRange { what, value: high as f64, accepted });
        }
        high *= 2;
    }
    let mut low = allowed_failures;
    while high - low > 1 {
        let middle = low + (high - low) / 2;
        if enough(middle) { high = middle } else { low = middle }
    }
    Ok(high)
}

/// The reliability a finished test demonstrates: the one-sided exact lower limit of the share that passed.
///
/// # Errors
/// [`StatsError::TooFew`] for no units, [`StatsError::CountAboveTotal`] for more failures than units.
pub fn demonstrated(trials: u64, failures: u64, confidence: Confidence) -> Result<f64, StatsError> {
    if failures > trials {
        return Err(StatsError::CountAboveTotal { what: "failures", count: failures, total: trials });
    }
    binomial::clopper_pearson_lower(trials - failures, trials, confidence)
}

/// Units for a test without failures that runs `life_multiple` times the required life, for a known Weibull shape.
///
/// `n = ceil(ln(1 - C) / (ln R m^shape))`: with a rising hazard a longer test needs fewer units.
///
/// # Errors
/// [`StatsError::OutOfRange`] for a reliability of 0 or 1, or a multiple or shape that is not finite and above 0.
pub fn trials_for_longer_test(
    reliability: Probability,
    confidence: Confidence,
    life_multiple: f64,
    shape: f64,
) -> Result<f64, StatsError> {
    let per_unit = checked(reliability)?.ln()
        * positive("life multiple", life_multiple)?.powf(positive("Weibull shape", shape)?);
    Ok((confidence.risk().ln() / per_unit).max(1.0))
}
