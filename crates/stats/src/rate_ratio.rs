//! The ratio of two rates: conditional tests and limits, exact and mid-P.

mod plan;

pub use plan::{ExposureNeeded, exposure_beside, exposure_needed, power};

use crate::conditional::{exact_high, exact_low, mid_p_high, mid_p_low};
use crate::error::{StatsError, positive};
use crate::special::beta::{self, Split, binomial_term, split_term};
use crate::value::{Confidence, Exposure};

/// A count of events in an exposure; both groups in the same unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Group {
    /// Events seen.
    pub count: u64,
    /// Exposure they were seen in.
    pub exposure: Exposure,
}

impl Group {
    /// Events per unit of exposure.
    pub fn rate(self) -> f64 {
        self.count as f64 / self.exposure.value()
    }
}

/// A ratio of two rates and its limits.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RatioInterval {
    /// Rate of the first group over the rate of the second; infinite when only the second has no events, NaN when
    /// neither has any.
    pub estimate: f64,
    /// Lower limit; 0 when the first group has no events.
    pub low: f64,
    /// Upper limit; infinite when the second group has no events.
    pub high: f64,
}

/// Probabilities of data at least as far from a supposed ratio, in the ways in use.
///
/// Show `doubled` beside the limits of [`ratio`]: the two never disagree. `minlike` can.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RatioTest {
    /// One-sided: this many or more of the events in the first group.
    pub greater: f64,
    /// One-sided: this many or fewer of the events in the first group.
    pub less: f64,
    /// Two-sided: twice the smaller of the two, at most 1.
    pub doubled: f64,
    /// Two-sided: all outcomes no more likely than the one seen.
    pub minlike: f64,
    /// Two-sided: twice the smaller tail with half of the outcome seen, at most 1.
    pub mid_p: f64,
}

/// Share of all events expected in the first group at a ratio: `t1 r / (t1 r + t2)`.
fn share(one: Exposure, two: Exposure, ratio: f64) -> Split {
    Split::from_odds(one.value() / two.value() * ratio)
}

fn interval(one: Group, two: Group, low: Split, high: Split) -> RatioInterval {
    let exposures = two.exposure.value() / one.exposure.value();
    let to_ratio = |split: Split| match split {
        Split { x: 0.0, .. } => 0.0,
        Split { y: 0.0, .. } => f64::INFINITY,
        Split { x, y } => x / y * exposures,
    };
    RatioInterval { estimate: one.rate() / two.rate(), low: to_ratio(low), high: to_ratio(high) }
}

/// The ratio of the first group's rate to the second's, with exact two-sided limits.
///
/// Given the total, the first count is binomial with chance `p = t1 r / (t1 r + t2)`; the Clopper-Pearson limits of
/// `p` are turned into limits of `r = p/(1-p) * t2/t1`. Coverage is never below the confidence.
///
/// Source: Przyborowski & Wilenski, Biometrika 31 (1940) 313; Lehmann & Romano, Testing Statistical Hypotheses, 4.5.
///
/// ```
/// use stats::{Confidence, Exposure, rate_ratio::{Group, ratio}};
/// let group = |count, years| Group { count, exposure: Exposure::new(years).unwrap() };
/// // Rothman & Greenland's fluoroscopy data: 1.86, 1.01 to 3.61.
/// let seen = ratio(group(41, 28_010.0), group(15, 19_017.0), Confidence::NINETY_FIVE);
/// assert_eq!([seen.estimate, seen.low, seen.high].map(|x| (100.0 * x).round()), [186.0, 101.0, 361.0]);
/// ```
pub fn ratio(one: Group, two: Group, confidence: Confidence) -> RatioInterval {
    let risk = confidence.half_risk();
    interval(one, two, exact_low(one.count, two.count, risk), exact_high(one.count, two.count, risk))
}

/// The ratio with mid-P limits: narrower than [`ratio`], with coverage near the confidence but not guaranteed.
pub fn ratio_mid_p(one: Group, two: Group, confidence: Confidence) -> RatioInterval {
    let risk = confidence.half_risk();
    interval(one, two, mid_p_low(one.count, two.count, risk), mid_p_high(one.count, two.count, risk))
}

/// One-sided exact lower limit of the ratio.
pub fn ratio_lower(one: Group, two: Group, confidence: Confidence) -> f64 {
    let low = exact_low(one.count, two.count, confidence.risk());
    interval(one, two, low, low).low
}

/// One-sided exact upper limit of the ratio.
pub fn ratio_upper(one: Group, two: Group, confidence: Confidence) -> f64 {
    let high = exact_high(one.count, two.count, confidence.risk());
    interval(one, two, high, high).high
}

/// Tests whether the first group's rate is `ratio0` times the second's; all 1 when there are no events.
///
/// # Errors
/// [`StatsError::OutOfRange`] for a supposed ratio that is not finite and above 0.
///
/// ```
/// use stats::{Exposure, rate_ratio::{Group, test}};
/// let group = |count, years| Group { count, exposure: Exposure::new(years).unwrap() };
/// let seen = test(group(11, 800.0), group(21, 3011.0), 1.0).unwrap();
/// assert!((seen.minlike - 0.0797).abs() < 5e-5 && (seen.doubled - 0.1120).abs() < 5e-5);
/// ```
pub fn test(one: Group, two: Group, ratio0: f64) -> Result<RatioTest, StatsError> {
    let at = share(one.exposure, two.exposure, positive("supposed ratio", ratio0)?);
    let (x, rest) = (one.count as f64, two.count as f64);
    let greater = if x == 0.0 { 1.0 } else { beta::tails(x, rest + 1.0, at.x, at.y).lower };
    let less = if rest == 0.0 { 1.0 } else { beta::tails(x + 1.0, rest, at.x, at.y).upper };
    let smaller = greater.min(less);
    let half = 0.5 * split_term(x, rest, at.x, at.y);
    Ok(RatioTest {
        greater,
        less,
        doubled: (2.0 * smaller).min(1.0),
        minlike: minlike(one.count, one.count.saturating_add(two.count), at, greater, less),
        mid_p: (2.0 * (smaller - half)).min(1.0),
    })
}

/// Chance of all outcomes at most as likely as `x` of `n`, within 1e-7 so that ties count despite rounding.
fn minlike(x: u64, n: u64, at: Split, greater: f64, less: f64) -> f64 {
    let trials = n as f64;
    let mode = ((trials + 1.0) * at.x).min(trials) as u64;
    let enough = binomial_term(x as f64, trials, at.x, at.y) * (1.0 + 1e-7);
    let rare = |k: u64| binomial_term(k as f64, trials, at.x, at.y) <= enough;
    // On the far side of the mode outcomes get rarer outwards: add the tail that has become rare enough.
    let far = match x.cmp(&mode) {
        std::cmp::Ordering::Equal => return 1.0,
        std::cmp::Ordering::Less => {
            let first = least(mode, n.saturating_add(1), rare) as f64;
            if first > trials { 0.0 } else { beta::tails(first, trials - first + 1.0, at.x, at.y).lower }
        }
        std::cmp::Ordering::Greater => {
            let above = least(0, mode, |k| !rare(k)) as f64;
            if above == 0.0 { 0.0 } else { beta::tails(above, trials - above + 1.0, at.x, at.y).upper }
        }
    };
    let near = if x < mode { less } else { greater };
    (near + far).min(1.0)
}

/// The least number from `low` to `high` for which a condition holds that, once it holds, holds for all above.
fn least(mut low: u64, mut high: u64, holds: impl Fn(u64) -> bool) -> u64 {
    while low < high {
        let middle = low + (high - low) / 2;
        if holds(middle) {
            high = middle;
        } else {
            low = middle + 1;
        }
    }
    low
}
