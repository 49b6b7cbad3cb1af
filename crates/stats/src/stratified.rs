//! One ratio of rates, after over before, common to several strata such as age bands.

mod distribution;

use crate::error::{StatsError, not_negative};
use crate::special::{Tails, normal};
use crate::value::{Confidence, Interval};
use distribution::Conditional;

/// One stratum: events and exposure before and after a change, in the same unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stratum {
    /// Events before.
    pub before_count: u64,
    /// Exposure before, 0 or more.
    pub before_exposure: f64,
    /// Events after.
    pub after_count: u64,
    /// Exposure after, 0 or more.
    pub after_exposure: f64,
}

/// The common ratio of the rate after to the rate before.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StratifiedRatio {
    /// Most likely ratio; 0 without events after, infinite without events before.
    pub estimate: f64,
    /// Lower limit; 0 without events after.
    pub low: f64,
    /// Upper limit; infinite without events before.
    pub high: f64,
    /// Two-sided probability of data at least as far from a ratio of 1.
    pub p_value: f64,
}

impl StratifiedRatio {
    /// The same where the logarithm of the ratio varies `times` as much as by chance alone; less than 1 counts as 1.
    ///
    /// Limits lie further from the estimate, and the p-value is that of a normal deviate nearer to 0, both by the root of
    /// `times`: an approximation for large counts. About an estimate of 0 or without end, which has no logarithm, both are as if
    /// so many times less had been looked at: of none seen, the probability is `p` to the power of `1/times`, and the limit is
    /// `times` as far, which is a little too near where events before are few.
    ///
    /// Source: P. McCullagh & J. A. Nelder, Generalized Linear Models, 2nd ed. (1989), 4.5 (variance by a dispersion factor; from
    /// memory). At 0: the probability of no event under counts divided by the factor (worked out here, no source).
    ///
    /// ```
    /// use stats::stratified::StratifiedRatio;
    /// let found = StratifiedRatio { estimate: 0.5, low: 0.25, high: 1.0, p_value: 0.05 };
    /// let wide = found.widened(4.0);
    /// assert!((wide.high - 2.0).abs() < 1e-12 && (wide.low - 0.125).abs() < 1e-12);
    /// // Beyond z = 0.98 on both sides lie 2 x 0.1635 (normal table).
    /// assert!((wide.p_value - 0.327).abs() < 1e-4);
    /// // None after: 0.04 is the chance of it in all that was looked at, 0.2 in half of that.
    /// let none = StratifiedRatio { estimate: 0.0, low: 0.0, high: 0.3, p_value: 0.04 }.widened(2.0);
    /// assert!((none.high - 0.6).abs() < 1e-12 && (none.p_value - 0.2).abs() < 1e-12);
    /// ```
    #[must_use]
    pub fn widened(self, times: f64) -> Self {
        let times = times.max(1.0);
        let Interval { low, high } =
            Interval { low: self.low, high: self.high }.widened(self.estimate, times);
        let p_value = if self.estimate > 0.0 && self.estimate.is_finite() {
            let z = normal::quantile(Tails::from_upper(0.5 * self.p_value)) / times.sqrt();
            2.0 * normal::tails(z).upper
        } else {
            self.p_value.powf(times.recip())
        };
        Self { estimate: self.estimate, low, high, p_value }
    }
}

/// Keeps exposures where the ratio of any two is far inside the range of a double.
fn in_scale(what: &'static str, exposure: f64) -> Result<f64, StatsError> {
    if exposure == 0.0 || (1e-100..=1e100).contains(&exposure) {
        Ok(exposure)
    } else {
        Err(StatsError::OutOfRange { what, value: exposure, accepted: "0, or from 1e-100 to 1e100" })
    }
}

/// The strata that say something about the ratio: events, and exposure on both sides.
///
/// # Errors
/// As [`exact`].
pub(crate) fn informative(strata: &[Stratum]) -> Result<Vec<Stratum>, StatsError> {
    let mut kept = Vec::with_capacity(strata.len());
    for (index, s) in strata.iter().enumerate() {
        for (what, count, exposure) in [
            ("exposure before", s.before_count, s.before_exposure),
            ("exposure after", s.after_count, s.after_exposure),
        ] {
            let value =
                not_negative(what, exposure).and_then(|value| in_scale(what, value)).map_err(|_| {
                    StatsError::ItemOutOfRange {
                        what,
                        index,
                        value: exposure,
                        accepted: "0, or a number from 1e-100 to 1e100",
                    }
                })?;
            if value == 0.0 && count > 0 {
                let accepted = "above 0, since events were counted in it";
                return Err(StatsError::ItemOutOfRange { what, index, value, accepted });
            }
        }
        if s.before_exposure > 0.0
            && s.after_exposure > 0.0
            && s.before_count.saturating_add(s.after_count) > 0
        {
            kept.push(*s);
        }
    }
    if kept.is_empty() {
        return Err(StatsError::NoEstimate {
            reason: "no stratum has both events and exposure on each side of the change",
        });
    }
    Ok(kept)
}

/// The common ratio with exact conditional limits.
///
/// Given each stratum's total `n`, its count after is binomial with chance `a r / (a r + b)` for exposures `a` after
/// and `b` before. The sum of the counts after has a distribution that depends on `r` alone; `low` and `high` are the
/// ratios at which a sum this large, or this small, has probability risk/2. The p-value is twice the smaller tail at
/// ratio 1. Coverage is never below the confidence. A stratum without events or with one side unexposed says nothing
/// and is left out.
///
/// Source: N. E. Breslow & N. E. Day, Statistical Methods in Cancer Research II (1987), section 3.6 (the form); the
/// distribution by convolution.
///
/// # Errors
/// [`StatsError::ItemOutOfRange`] for an exposure that is negative or not finite, or 0 with events;
/// [`StatsError::NoEstimate`] where no stratum is informative; [`StatsError::OutOfRange`] for more than 200,000 events.
///
/// ```
/// use stats::{Confidence, stratified::{Stratum, exact}};
/// let one = Stratum { before_count: 15, before_exposure: 19_017.0, after_count: 41, after_exposure: 28_010.0 };
/// let seen = exact(&[one], Confidence::NINETY_FIVE).unwrap();
/// assert_eq!([seen.estimate, seen.low, seen.high].map(|x| (100.0 * x).round()), [186.0, 101.0, 361.0]);
/// ```
pub fn exact(strata: &[Stratum], confidence: Confidence) -> Result<StratifiedRatio, StatsError> {
    conditional(strata, confidence, 1.0)
}

/// The common ratio with mid-P conditional limits: half of the observed sum's chance counts to each tail.
///
/// Narrower than [`exact`]; coverage near the confidence on average. The p-value is twice the smaller mid-P tail.
///
/// # Errors
/// As [`exact`].
pub fn mid_p(strata: &[Stratum], confidence: Confidence) -> Result<StratifiedRatio, StatsError> {
    conditional(strata, confidence, 0.5)
}

/// Limits where `weight` of the observed sum's chance counts to each tail.
fn conditional(
    strata: &[Stratum],
    confidence: Confidence,
    weight: f64,
) -> Result<StratifiedRatio, StatsError> {
    let sum = Conditional::new(&informative(strata)?)?;
    let risk = confidence.half_risk();
    let at_one = sum.tails(1.0, weight);
    Ok(StratifiedRatio {
        estimate: sum.estimate(),
        low: sum.low(risk, weight),
        high: sum.high(risk, weight),
        p_value: (2.0 * at_one.lower.min(at_one.upper)).min(1.0),
    })
}

/// The Mantel-Haenszel ratio: no distribution to work out, and steady with many thin strata.
///
/// Estimate `sum(A b/t) / sum(B a/t)` for counts `A` after and `B` before, exposures `a`, `b`, `t = a + b`. The limits
/// are normal on the logarithm with variance `sum(n a b/t^2) / (sum(A b/t) sum(B a/t))`; the p-value is the score test's.
///
/// Source: K. J. Rothman & S. Greenland, Modern Epidemiology, 2nd ed. (1998), chapter 15; S. Greenland & J. M. Robins,
/// Biometrics 41 (1985) 55.
///
/// # Errors
/// As [`exact`], and [`StatsError::NoEstimate`] where one side has no events at all.
pub fn mantel_haenszel(strata: &[Stratum], confidence: Confidence) -> Result<StratifiedRatio, StatsError> {
    let kept = informative(strata)?;
    let (mut after, mut before, mut spread, mut excess) = (0.0, 0.0, 0.0, 0.0);
    for s in &kept {
        let total = s.before_exposure + s.after_exposure;
        let (early, late) = (s.before_exposure / total, s.after_exposure / total);
        let (old, new) = (s.before_count as f64, s.after_count as f64);
        after += new * early;
        before += old * late;
        spread += (old + new) * early * late;
        excess += new - (old + new) * late;
    }
    if after == 0.0 || before == 0.0 {
        return Err(StatsError::NoEstimate {
            reason: "one side of the change has no events; exact limits still exist",
        });
    }
    let estimate = after / before;
    let z = confidence.normal_reach();
    let reach = (z * (spread / (after * before)).sqrt()).exp();
    Ok(StratifiedRatio {
        estimate,
        low: estimate / reach,
        high: estimate * reach,
        p_value: 2.0 * normal::tails(excess.abs() / spread.sqrt()).upper,
    })
}
