//! Values that cannot hold nonsense: confidence, exposure, probability, and the interval methods answer with.

use crate::error::{StatsError, positive};
use crate::special::{Tails, normal};

/// A confidence level, strictly between 0 and 1, such as 0.95.
///
/// Two-sided unless a method says that it is one-sided.
///
/// ```
/// use stats::Confidence;
/// assert_eq!(Confidence::new(0.9).unwrap().value(), 0.9);
/// assert_eq!(
///     Confidence::new(95.0).unwrap_err().to_string(),
///     "confidence is 95 but must be above 0 and below 1, such as 0.95"
/// );
/// ```
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Confidence(f64);

impl Confidence {
    /// 90 %.
    pub const NINETY: Self = Self(0.90);
    /// 95 %.
    pub const NINETY_FIVE: Self = Self(0.95);

    /// Takes a level strictly between 0 and 1.
    ///
    /// # Errors
    /// [`StatsError::OutOfRange`] for anything else, NaN included.
    pub fn new(level: f64) -> Result<Self, StatsError> {
        if level > 0.0 && level < 1.0 {
            Ok(Self(level))
        } else {
            Err(StatsError::OutOfRange {
                what: "confidence",
                value: level,
                accepted: "above 0 and below 1, such as 0.95",
            })
        }
    }

    /// The level itself.
    pub fn value(self) -> f64 {
        self.0
    }

    /// What is left to be wrong by: `1 - level`.
    pub fn risk(self) -> f64 {
        1.0 - self.0
    }

    /// The risk of one side when it is split evenly over two: `(1 - level) / 2`.
    pub fn half_risk(self) -> f64 {
        0.5 * self.risk()
    }

    /// How many standard deviations an interval of this level reaches to either side of the mean of a normal distribution.
    ///
    /// ```
    /// assert!((stats::Confidence::NINETY_FIVE.normal_reach() - 1.959_963_984_540_054).abs() < 1e-14);
    /// ```
    pub fn normal_reach(self) -> f64 {
        normal::quantile(Tails::from_upper(self.half_risk()))
    }
}

/// An amount of use at risk (item-years, hours, loads): finite and above 0.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Exposure(f64);

impl Exposure {
    /// Takes a finite amount above 0, in any unit; rates come out per that unit.
    ///
    /// # Errors
    /// [`StatsError::OutOfRange`] for zero, negative, infinite or NaN.
    pub fn new(amount: f64) -> Result<Self, StatsError> {
        positive("exposure", amount).map(Self)
    }

    /// The amount itself.
    pub fn value(self) -> f64 {
        self.0
    }
}

/// A probability, from 0 to 1 with both ends allowed.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Probability(f64);

impl Probability {
    /// Takes a number from 0 to 1.
    ///
    /// # Errors
    /// [`StatsError::OutOfRange`] for anything else, NaN included.
    pub fn new(value: f64) -> Result<Self, StatsError> {
        if (0.0..=1.0).contains(&value) {
            Ok(Self(value))
        } else {
            Err(StatsError::OutOfRange { what: "probability", value, accepted: "from 0 to 1" })
        }
    }

    /// The number itself.
    pub fn value(self) -> f64 {
        self.0
    }

    /// The probability of the opposite.
    pub fn complement(self) -> f64 {
        1.0 - self.0
    }
}

/// Two limits around an estimate, `low <= high`.
///
/// `high` is `f64::INFINITY` where a method documents that no upper limit exists.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interval {
    /// Lower limit.
    pub low: f64,
    /// Upper limit.
    pub high: f64,
}

impl Interval {
    /// The same where the logarithm of the estimate varies `times` as much: both limits lie further from it by the root of
    /// that. Less than 1 counts as 1; of an estimate of 0 or without end, which has no logarithm, the one limit is `times` as far.
    /// Source as [`StratifiedRatio::widened`](crate::stratified::StratifiedRatio::widened).
    #[must_use]
    pub fn widened(self, estimate: f64, times: f64) -> Self {
        let times = times.max(1.0);
        if estimate > 0.0 && estimate.is_finite() {
            let away = |limit: f64| estimate * (limit / estimate).powf(times.sqrt());
            return Self { low: away(self.low), high: away(self.high) };
        }
        Self { low: self.low / times, high: self.high * times }
    }

    /// Both limits multiplied by a factor of 0 or more.
    pub fn scaled(self, factor: f64) -> Self {
        Self { low: self.low * factor, high: self.high * factor }
    }

    /// Whether a value lies within the limits, ends included.
    pub fn contains(self, value: f64) -> bool {
        self.low <= value && value <= self.high
    }
}
