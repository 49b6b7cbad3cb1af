//! Intervals for the chance of an event seen in some of a number of trials, and success-run demonstration.

use crate::conditional;
use crate::error::StatsError;
use crate::special::{Tails, beta};
use crate::value::{Confidence, Interval};

fn checked(successes: u64, trials: u64) -> Result<(), StatsError> {
    if trials == 0 {
        return Err(StatsError::TooFew { what: "trials", given: 0, needed: 1 });
    }
    if successes > trials {
        return Err(StatsError::CountAboveTotal { what: "successes", count: successes, total: trials });
    }
    Ok(())
}

/// Exact (Clopper-Pearson) two-sided limits: each tail holds at most half of the risk.
///
/// `low` solves `P(X >= x | low) = risk/2`, `high` solves `P(X <= x | high) = risk/2`; 0 and 1 at the ends. Coverage
/// is never below the confidence, and well above it for few events: with 30 trials at 95 % on average 97.3 %.
///
/// Source: Clopper & Pearson, Biometrika 26 (1934) 404.
///
/// # Errors
/// [`StatsError::TooFew`] for no trials, [`StatsError::CountAboveTotal`] for more successes than trials.
///
/// ```
/// use stats::{Confidence, binomial};
/// // NIST/SEMATECH e-Handbook 7.2.4.1: 4 in 20 at 90 %.
/// let limits = binomial::clopper_pearson(4, 20, Confidence::NINETY).unwrap();
/// assert!((limits.low - 0.071354).abs() < 5e-7 && (limits.high - 0.40103).abs() < 5e-6);
/// ```
pub fn clopper_pearson(successes: u64, trials: u64, confidence: Confidence) -> Result<Interval, StatsError> {
    checked(successes, trials)?;
    let risk = confidence.half_risk();
    let rest = trials - successes;
    Ok(Interval {
        low: conditional::exact_low(successes, rest, risk).x,
        high: conditional::exact_high(successes, rest, risk).x,
    })
}

/// One-sided exact lower limit at the given confidence.
///
/// # Errors
/// As [`clopper_pearson`].
pub fn clopper_pearson_lower(successes: u64, trials: u64, confidence: Confidence) -> Result<f64, StatsError> {
    checked(successes, trials)?;
    Ok(conditional::exact_low(successes, trials - successes, confidence.risk()).x)
}

/// One-sided exact upper limit at the given confidence.
///
/// # Errors
/// As [`clopper_pearson`].
pub fn clopper_pearson_upper(successes: u64, trials: u64, confidence: Confidence) -> Result<f64, StatsError> {
    checked(successes, trials)?;
    Ok(conditional::exact_high(successes, trials - successes, confidence.risk()).x)
}

/// Two-sided mid-P limits: half of the observed outcome's chance counts to each tail.
///
/// Narrower than [`clopper_pearson`]; coverage is close to the confidence on average and can fall below it: with 30
/// trials at 95 % on average 95.8 %, at worst 92.5 %.
///
/// # Errors
/// As [`clopper_pearson`].
pub fn mid_p(successes: u64, trials: u64, confidence: Confidence) -> Result<Interval, StatsError> {
    checked(successes, trials)?;
    let risk = confidence.half_risk();
    let rest = trials - successes;
    Ok(Interval {
        low: conditional::mid_p_low(successes, rest, risk).x,
        high: conditional::mid_p_high(successes, rest, risk).x,
    })
}

/// Wilson's score limits, without continuity correction.
///
/// Centre `(p + z^2/2n) / (1 + z^2/n)`, half width `z/(1 + z^2/n) sqrt(p(1-p)/n + z^2/4n^2)`.
///
/// Coverage is near the confidence on average; with 30 trials at 95 % it falls to 83.7 % at worst, just below
/// the lower limit of a single success.
///
/// Source: E. B. Wilson, J. Am. Stat. Assoc. 22 (1927) 209.
///
/// # Errors
/// As [`clopper_pearson`].
pub fn wilson(successes: u64, trials: u64, confidence: Confidence) -> Result<Interval, StatsError> {
    checked(successes, trials)?;
    let z = confidence.normal_reach();
    let (x, n, square) = (successes as f64, trials as f64, z * z);
    let spread = z * (x * ((n - x) / n) + square / 4.0).sqrt();
    let high = (x + square / 2.0 + spread) / (n + square);
    // The limits are the roots of a quadratic; their product gives the low one without cancellation.
    let low = x * (x / n) / (n + square) / high;
    Ok(Interval { low, high: if successes == trials { 1.0 } else { high } })
}

/// Jeffreys limits: equal tails of `Beta(x + 1/2, n - x + 1/2)`, with 0 and 1 at the ends.
///
/// Coverage is near the confidence on average; with 30 trials at 95 % it falls to 88.8 % at worst, near the ends.
///
/// Source: Brown, Cai & DasGupta, Statistical Science 16 (2001) 101.
///
/// # Errors
/// As [`clopper_pearson`].
pub fn jeffreys(successes: u64, trials: u64, confidence: Confidence) -> Result<Interval, StatsError> {
    checked(successes, trials)?;
    let (a, b) = (successes as f64 + 0.5, (trials - successes) as f64 + 0.5);
    let risk = confidence.half_risk();
    let low = if successes == 0 { 0.0 } else { beta::quantile(a, b, Tails::from_lower(risk)).x };
    let high = if successes == trials { 1.0 } else { beta::quantile(a, b, Tails::from_upper(risk)).x };
    Ok(Interval { low, high })
}
