//! Limits of a funnel plot: where the rate of a group of given exposure should lie if it shared the target rate.

use crate::error::{StatsError, positive};
use crate::poisson_rate::{lower_tail, upper_tail};
use crate::special::{Tails, gamma, normal};
use crate::value::{Exposure, Probability};

/// One limit of a funnel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FunnelLimit {
    /// Smallest count whose cumulative probability is above the wanted one.
    pub count: u64,
    /// How far back from that count the limit lies, from 0 to 1.
    pub step_back: f64,
    /// The limit as a rate. Below 0 for a low limit at a small exposure: draw it at 0.
    pub rate: f64,
}

/// The limit below which a group's rate falls with the wanted probability under the target rate.
///
/// `r` is the smallest count with `P(X <= r) > p` under the mean `target x exposure`; the limit interpolates,
/// `(r - (P(X <= r) - p) / P(X = r)) / exposure`, so that the funnel is smooth. Usual probabilities are 0.025 and 0.975,
/// 0.001 and 0.999.
///
/// Source: D. J. Spiegelhalter, Statistics in Medicine 24 (2005) 1185, appendix A.1.1.
///
/// # Errors
/// [`StatsError::OutOfRange`] for a target rate that is not finite and above 0, a probability of 0 or 1, or more than
/// 1e12 events expected.
///
/// ```
/// use stats::{Exposure, Probability, funnel::limit};
/// let upper = limit(0.01, Exposure::new(100.0).unwrap(), Probability::new(0.975).unwrap()).unwrap();
/// assert!(upper.count == 3 && (upper.rate - 0.029_019_486_964_854).abs() < 1e-14);
/// ```
pub fn limit(
    target_rate: f64,
    exposure: Exposure,
    probability: Probability,
) -> Result<FunnelLimit, StatsError> {
    let mean = positive("target rate", target_rate)? * exposure.value();
    let p = probability.value();
    let out = |what, value, accepted| Err(StatsError::OutOfRange { what, value, accepted });
    if p <= 0.0 || p >= 1.0 {
        return out("probability of a funnel limit", p, "above 0 and below 1");
    }
    if mean > 1e12 {
        return out("expected number of events", mean, "at most 1e12");
    }
    // The smaller tail decides, so that a probability close to 1 keeps its digits.
    let rest = probability.complement();
    let beyond = |k: u64| if p < 0.5 { lower_tail(k, mean) > p } else { upper_tail(k + 1, mean) < rest };
    let z = normal::quantile(Tails { lower: p, upper: rest });
    let mut high = (mean + z * mean.sqrt()).max(0.0) as u64;
    let mut reach = 1;
    while !beyond(high) {
        high += reach;
        reach *= 2;
    }
    let mut low = 0;
    reach = 1;
    while high >= reach && beyond(high - reach) {
        high -= reach;
        reach *= 2;
    }
    if high >= reach {
        low = high - reach + 1;
    }
    while low < high {
        let middle = low + (high - low) / 2;
        if beyond(middle) {
            high = middle;
        } else {
            low = middle + 1;
        }
    }
    let over = if p < 0.5 { lower_tail(high, mean) - p } else { rest - upper_tail(high + 1, mean) };
    let step_back = over / gamma::poisson_term(high as f64, mean);
    Ok(FunnelLimit { count: high, step_back, rate: (high as f64 - step_back) / exposure.value() })
}

/// How far a group's count lies from what the target rate expects.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FunnelScore {
    /// Observed over expected.
    pub ratio: f64,
    /// Chance of as many events or more.
    pub upper: f64,
    /// The same with half of the observed count's own chance.
    pub upper_mid_p: f64,
    /// Normal score of the mid-P tail.
    pub z_mid_p: f64,
    /// Score on the square-root scale, `2 (sqrt(observed) - sqrt(expected))`.
    pub z_square_root: f64,
}

/// Scores a count against a target rate.
///
/// # Errors
/// [`StatsError::OutOfRange`] for a target rate that is not finite and above 0.
pub fn score(observed: u64, target_rate: f64, exposure: Exposure) -> Result<FunnelScore, StatsError> {
    let mean = positive("target rate", target_rate)? * exposure.value();
    let half = 0.5 * gamma::poisson_term(observed as f64, mean);
    let upper = upper_tail(observed, mean);
    let mid = Tails { lower: lower_tail(observed, mean) - half, upper: upper - half };
    Ok(FunnelScore {
        ratio: observed as f64 / mean,
        upper,
        upper_mid_p: mid.upper,
        z_mid_p: normal::quantile(mid),
        z_square_root: 2.0 * ((observed as f64).sqrt() - mean.sqrt()),
    })
}
