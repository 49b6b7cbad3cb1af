//! Rates from a count of events and an exposure: exact and mid-P limits, mean time between failures, tails.

use crate::special::root::{self, Shape};
use crate::special::{Tails, beta, gamma};
use crate::value::{Confidence, Exposure, Interval};

/// Count whose exact lower limit has the given risk, for one unit of exposure.
fn exact_low(count: u64, risk: f64) -> f64 {
    if count == 0 { 0.0 } else { gamma::quantile(count as f64, Tails::from_lower(risk)) }
}

/// Count whose exact upper limit has the given risk, for one unit of exposure.
fn exact_high(count: u64, risk: f64) -> f64 {
    gamma::quantile(count as f64 + 1.0, Tails::from_upper(risk))
}

/// Exact (Garwood) two-sided limits for the rate of events per unit of exposure.
///
/// `low = chi2(risk/2; 2k) / 2T`, 0 for no events; `high = chi2(1 - risk/2; 2k + 2) / 2T`, for `k` events in exposure
/// `T`. Coverage is never below the confidence, and clearly above it for few events: on average 96.4 % at 95 % for means
/// from 0.5 to 40.
///
/// Source: F. Garwood, Biometrika 28 (1936) 437.
///
/// ```
/// use stats::{Confidence, Exposure, poisson_rate};
/// let limits = poisson_rate::exact(10, Exposure::new(1.0).unwrap(), Confidence::NINETY_FIVE);
/// assert!((limits.low - 4.795).abs() < 5e-4 && (limits.high - 18.390).abs() < 5e-4);
/// ```
pub fn exact(count: u64, exposure: Exposure, confidence: Confidence) -> Interval {
    let risk = confidence.half_risk();
    let per_unit = exposure.value();
    Interval { low: exact_low(count, risk) / per_unit, high: exact_high(count, risk) / per_unit }
}

/// One-sided exact upper limit for the rate: with no events `-ln(risk) / T`, the "rule of three" at 95 %.
pub fn exact_upper(count: u64, exposure: Exposure, confidence: Confidence) -> f64 {
    exact_high(count, confidence.risk()) / exposure.value()
}

/// One-sided exact lower limit for the rate; 0 for no events.
pub fn exact_lower(count: u64, exposure: Exposure, confidence: Confidence) -> f64 {
    exact_low(count, confidence.risk()) / exposure.value()
}

/// Mid-P two-sided limits for the rate: half of the observed count's chance goes to each tail.
///
/// `low` solves `P(X > k) + P(X = k)/2 = risk/2`, `high` solves `P(X < k) + P(X = k)/2 = risk/2`. Narrower than
/// [`exact`]; coverage is near the confidence on average and can fall below it: for means from 0.5 to 40 on average 95.3 %
/// and at worst 91.7 % at 95 %, on average 90.4 % and at worst 85.8 % at 90 %.
///
/// Source: G. Berry & P. Armitage, The Statistician 44 (1995) 417.
pub fn mid_p(count: u64, exposure: Exposure, confidence: Confidence) -> Interval {
    let risk = confidence.half_risk();
    let per_unit = exposure.value();
    Interval { low: mid_p_low(count, risk) / per_unit, high: mid_p_high(count, risk) / per_unit }
}

/// One-sided mid-P upper limit; with no events `-ln(2 risk) / T`, and 0 where the confidence is below one half.
pub fn mid_p_upper(count: u64, exposure: Exposure, confidence: Confidence) -> f64 {
    mid_p_high(count, confidence.risk()) / exposure.value()
}

/// One-sided mid-P lower limit; 0 for no events.
pub fn mid_p_lower(count: u64, exposure: Exposure, confidence: Confidence) -> f64 {
    mid_p_low(count, confidence.risk()) / exposure.value()
}

fn mid_p_low(count: u64, risk: f64) -> f64 {
    if count == 0 { 0.0 } else { mid_p_root(count as f64, Tails::from_lower(risk)) }
}

fn mid_p_high(count: u64, risk: f64) -> f64 {
    if count == 0 { (-(2.0 * risk).ln()).max(0.0) } else { mid_p_root(count as f64, Tails::from_upper(risk)) }
}

/// The mean with the wanted mid-P tails for `k >= 1`, started at the gamma quantile of `k + 1/2`, which is very near.
fn mid_p_root(k: f64, wanted: Tails) -> f64 {
    let left = wanted.lower <= wanted.upper;
    let start = gamma::quantile(k + 0.5, wanted);
    let scale = 1.0 / k.sqrt();
    let change = root::find(0.0, |change| {
        let mean = start * change.exp();
        let term = gamma::poisson_term(k, mean);
        let slope = 0.5 * term * (mean + k);
        let bend = k - mean + mean / (mean + k);
        if left {
            let tail = gamma::tails(k + 1.0, mean).lower + 0.5 * term;
            Shape { value: (tail / wanted.lower).ln(), slope: slope / tail, bend: bend - slope / tail, scale }
        } else {
            let tail = gamma::tails(k, mean).upper + 0.5 * term;
            Shape { value: (wanted.upper / tail).ln(), slope: slope / tail, bend: bend + slope / tail, scale }
        }
    });
    start * change.exp()
}

/// Limits for the mean time between failures when observation stopped at a set time.
///
/// The reciprocals of [`exact`]: `2T/chi2(1 - risk/2; 2k + 2)` to `2T/chi2(risk/2; 2k)`; `high` is infinite for no
/// failures.
///
/// ```
/// use stats::{Confidence, Exposure, poisson_rate};
/// // NIST/SEMATECH e-Handbook 8.4.5.1: 2 failures in 800 hours, 90 %: 127 to 2251 hours.
/// let limits = poisson_rate::mtbf_time_terminated(2, Exposure::new(800.0).unwrap(), Confidence::NINETY);
/// assert_eq!((limits.low.round(), limits.high.round()), (127.0, 2251.0));
/// ```
pub fn mtbf_time_terminated(count: u64, exposure: Exposure, confidence: Confidence) -> Interval {
    let rate = exact(count, exposure, confidence);
    Interval { low: 1.0 / rate.high, high: 1.0 / rate.low }
}

/// Limits for the mean time between failures when observation stopped at the `count`-th failure.
///
/// `2T/chi2(1 - risk/2; 2k)` to `2T/chi2(risk/2; 2k)`; `None` for no failures, where such a test has not ended.
pub fn mtbf_failure_terminated(count: u64, exposure: Exposure, confidence: Confidence) -> Option<Interval> {
    let risk = confidence.half_risk();
    let most = count.checked_sub(1).map(|before| exact_high(before, risk))?;
    Some(Interval { low: exposure.value() / most, high: exposure.value() / exact_low(count, risk) })
}

/// One-sided lower limit for the mean time between failures, failure terminated; `None` for no failures.
pub fn mtbf_failure_terminated_lower(count: u64, exposure: Exposure, confidence: Confidence) -> Option<f64> {
    count.checked_sub(1).map(|before| exposure.value() / exact_high(before, confidence.risk()))
}

/// Chance of `count` or more events where `mean >= 0` are expected; NaN for a mean that is negative or NaN.
///
/// ```
/// assert!((stats::poisson_rate::upper_tail(1, 0.5) - 0.393_469_340_287_366_6).abs() < 1e-16);
/// ```
pub fn upper_tail(count: u64, mean: f64) -> f64 {
    if count == 0 && mean >= 0.0 { 1.0 } else { gamma::tails(count as f64, mean).lower }
}

/// Chance of `count` or fewer events where `mean >= 0` are expected; NaN for a mean that is negative or NaN.
pub fn lower_tail(count: u64, mean: f64) -> f64 {
    gamma::tails(count as f64 + 1.0, mean).upper
}

/// Chance of `count` or more events when counts scatter more than Poisson: negative binomial with the given mean and
/// ratio of variance to mean.
///
/// With size `r = mean / (D - 1)` for the ratio `D`, the chance is `I_x(count, r)` at `x = (D - 1)/D`. A ratio of 1
/// or less gives the Poisson [`upper_tail`]; NaN for a negative or NaN mean or ratio.
///
/// Source: N. L. Johnson, A. W. Kemp & S. Kotz, Univariate Discrete Distributions, 3rd ed., section 5.6.
///
/// ```
/// use stats::poisson_rate::{overdispersed_upper_tail, upper_tail};
/// assert_eq!(overdispersed_upper_tail(7, 3.0, 1.0), upper_tail(7, 3.0));
/// assert!(overdispersed_upper_tail(7, 3.0, 2.0) > upper_tail(7, 3.0));
/// ```
pub fn overdispersed_upper_tail(count: u64, mean: f64, variance_to_mean: f64) -> f64 {
    if variance_to_mean.is_nan() || variance_to_mean < 0.0 {
        return f64::NAN;
    }
    let excess = variance_to_mean - 1.0;
    // Below this the two distributions agree to the last digit, and the size would only overflow.
    if excess < 1e-13 || mean.is_nan() || mean <= 0.0 || count == 0 {
        return upper_tail(count, mean);
    }
    beta::tails(count as f64, mean / excess, excess / variance_to_mean, 1.0 / variance_to_mean).lower
}
