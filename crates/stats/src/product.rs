//! Confidence limits for the product of two independent estimates, from the limits of each.

use crate::error::{StatsError, not_negative, positive};
use crate::value::Interval;

/// An estimate with its limits.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// The estimate.
    pub value: f64,
    /// Its limits, at the confidence wanted of the result.
    pub interval: Interval,
}

/// Limits for `a x b`, of two independent estimates above zero (`a` may be estimated as zero).
///
/// On the log scale the two distances to the lower limits are added in quadrature, and likewise the upper:
///
/// ```text
/// low  = ab exp(-sqrt(ln(a/a_low)^2  + ln(b/b_low)^2))
/// high = ab exp(+sqrt(ln(a_high/a)^2 + ln(b_high/b)^2))
/// ```
///
/// where `a_low`, `a_high`, `b_low`, `b_high` are the limits of each. The units are those of `a` times those of
/// `b`. An estimate of zero has the limits 0 and `a_high x b_high`, which is wider than asked for.
///
/// Source: Zou and Donner, Construction of confidence limits about effect measures: a general approach,
/// Statistics in Medicine 27 (2008) 1693-1702, applied to logarithms (from memory).
///
/// # Errors
/// [`StatsError::OutOfRange`] when limits are not around their estimate, when `a` is below zero or when `b` or
/// one of its limits is not above zero.
///
/// ```
/// use stats::Interval;
/// use stats::product::{Estimate, limits};
/// let rate = Estimate { value: 8.0, interval: Interval { low: 4.0, high: 16.0 } };
/// let ratio = Estimate { value: 0.5, interval: Interval { low: 0.25, high: 1.0 } };
/// let both = limits(rate, ratio)?;
/// // Worked by hand: the log distances are ln 2 each, so the factor is 2^sqrt(2) = 2.665144.
/// assert!((both.high - 4.0 * 2.665144142690225).abs() < 1e-12);
/// assert!((both.low - 4.0 / 2.665144142690225).abs() < 1e-12);
/// # Ok::<(), stats::StatsError>(())
/// ```
pub fn limits(a: Estimate, b: Estimate) -> Result<Interval, StatsError> {
    not_negative("the first estimate", a.value)?;
    not_negative("the lower limit of the first estimate", a.interval.low)?;
    positive("the second estimate", b.value)?;
    positive("the lower limit of the second estimate", b.interval.low)?;
    for (what, estimate) in
        [("the limits of the first estimate", a), ("the limits of the second estimate", b)]
    {
        let Interval { low, high } = estimate.interval;
        if !(low <= estimate.value && estimate.value <= high) {
            return Err(StatsError::OutOfRange {
                what,
                value: estimate.value,
                accepted: "on either side of their estimate",
            });
        }
    }
    if a.value == 0.0 {
        return Ok(Interval { low: 0.0, high: a.interval.high * b.interval.high });
    }
    let product = a.value * b.value;
    let below = (a.value / a.interval.low).ln().hypot((b.value / b.interval.low).ln());
    let above = (a.interval.high / a.value).ln().hypot((b.interval.high / b.value).ln());
    Ok(Interval { low: product * (-below).exp(), high: product * above.exp() })
}

/// `a / b` of two independent estimates above zero, with limits as those of [`limits`].
///
/// # Errors
/// As [`limits`] of `a` and `1 / b`.
///
/// ```
/// use stats::Interval;
/// use stats::product::{Estimate, quotient};
/// let rate = Estimate { value: 8.0, interval: Interval { low: 4.0, high: 16.0 } };
/// let share = Estimate { value: 0.5, interval: Interval { low: 0.25, high: 1.0 } };
/// let corrected = quotient(rate, share)?;
/// // Worked by hand: the log distances are ln 2 each, so the factor is 2^sqrt(2) = 2.665144.
/// assert_eq!(corrected.value, 16.0);
/// assert!((corrected.interval.high - 16.0 * 2.665144142690225).abs() < 1e-12);
/// # Ok::<(), stats::StatsError>(())
/// ```
pub fn quotient(a: Estimate, b: Estimate) -> Result<Estimate, StatsError> {
    let inverse = Estimate {
        value: b.value.recip(),
        interval: Interval { low: b.interval.high.recip(), high: b.interval.low.recip() },
    };
    Ok(Estimate { value: a.value * inverse.value, interval: limits(a, inverse)? })
}

#[cfg(test)]
mod tests {
    use super::*;

    const fn estimate(value: f64, low: f64, high: f64) -> Estimate {
        Estimate { value, interval: Interval { low, high } }
    }

    #[test]
    fn a_sure_factor_only_scales_the_limits() {
        let both = limits(estimate(8.0, 4.0, 16.0), estimate(0.5, 0.5, 0.5)).expect("in range");
        assert!((both.low - 2.0).abs() < 1e-15 && (both.high - 8.0).abs() < 1e-15);
    }

    #[test]
    fn an_estimate_of_zero_has_an_upper_limit_all_the_same() {
        let both = limits(estimate(0.0, 0.0, 3.0), estimate(0.5, 0.2, 1.0)).expect("in range");
        assert_eq!(both, Interval { low: 0.0, high: 3.0 });
    }

    #[test]
    fn limits_that_are_not_around_their_estimate_are_refused() {
        assert!(limits(estimate(2.0, 3.0, 4.0), estimate(1.0, 1.0, 1.0)).is_err());
        assert!(limits(estimate(2.0, 1.0, 4.0), estimate(1.0, 0.0, 1.0)).is_err());
        assert!(limits(estimate(f64::NAN, 1.0, 4.0), estimate(1.0, 1.0, 1.0)).is_err());
    }
}
