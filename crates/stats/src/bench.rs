//! Two bench tests compared by their means: the difference after Welch, the ratio after Fieller.

use crate::error::{StatsError, finite};
use crate::special::{Tails, student};
use crate::value::{Confidence, Interval};

/// Mean and variance of the mean of one bench test.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Sample {
    mean: f64,
    /// Variance of the mean, `s^2 / n`.
    variance: f64,
    freedom: f64,
}

impl Sample {
    fn new(what: &'static str, values: &[f64]) -> Result<Self, StatsError> {
        if values.len() < 2 {
            return Err(StatsError::TooFew { what, given: values.len(), needed: 2 });
        }
        for (index, &value) in values.iter().enumerate() {
            finite(what, value).map_err(|_| StatsError::ItemOutOfRange {
                what,
                index,
                value,
                accepted: "a finite number",
            })?;
        }
        let n = values.len() as f64;
        let rough = values.iter().sum::<f64>() / n;
        // The second pass takes out what the first lost to rounding.
        let mean = rough + values.iter().map(|v| v - rough).sum::<f64>() / n;
        let square: f64 = values.iter().map(|v| (v - mean).powi(2)).sum();
        Ok(Self { mean, variance: square / ((n - 1.0) * n), freedom: n - 1.0 })
    }
}

/// Two samples with their own variances: `x` of the old design, `y` of the new.
///
/// Sources: B. L. Welch, Biometrika 34 (1947); F. E. Satterthwaite, Biometrics Bull. 2 (1946); E. C. Fieller,
/// J. R. Statist. Soc. B 16 (1954).
///
/// ```
/// use stats::{Confidence, bench::Comparison};
/// // Extra hours of sleep under two drugs, Student, Biometrika 6 (1908).
/// let one = [0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0];
/// let two = [1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4];
/// let both = Comparison::new(&one, &two).unwrap();
/// assert!((both.t() - 1.8608).abs() < 5e-5 && (both.freedom() - 17.776).abs() < 5e-4);
/// assert!((both.p_value() - 0.07939).abs() < 5e-6);
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Comparison {
    old: Sample,
    new: Sample,
}

impl Comparison {
    /// Takes the values of the old and of the new design, at least two each.
    ///
    /// # Errors
    /// [`StatsError::TooFew`], [`StatsError::ItemOutOfRange`] for a value that is not finite,
    /// [`StatsError::NoEstimate`] where all values of both samples are alike, or so large (some 1e154) that their squares
    /// are not numbers.
    pub fn new(old: &[f64], new: &[f64]) -> Result<Self, StatsError> {
        let both = Self {
            old: Sample::new("values of the old design", old)?,
            new: Sample::new("values of the new design", new)?,
        };
        if !both.standard_error().is_finite() {
            Err(StatsError::NoEstimate { reason: "the values are too large for their squares to be numbers" })
        } else if both.standard_error() > 0.0 {
            Ok(both)
        } else {
            Err(StatsError::NoEstimate {
                reason: "the values of each sample are all the same, so that nothing shows their spread",
            })
        }
    }

    /// Mean of the old design.
    pub fn old_mean(&self) -> f64 {
        self.old.mean
    }

    /// Mean of the new design.
    pub fn new_mean(&self) -> f64 {
        self.new.mean
    }

    /// New mean less old.
    pub fn difference(&self) -> f64 {
        self.new.mean - self.old.mean
    }

    /// Standard error of the difference, `sqrt(vx + vy)` with `v = s^2/n`.
    pub fn standard_error(&self) -> f64 {
        (self.old.variance + self.new.variance).sqrt()
    }

    /// Degrees of freedom `(vx + vy)^2 / (vx^2/(nx-1) + vy^2/(ny-1))`.
    pub fn freedom(&self) -> f64 {
        // Shares keep the squares of very small variances from vanishing.
        let all = self.old.variance + self.new.variance;
        let (x, y) = (self.old.variance / all, self.new.variance / all);
        (x * x / self.old.freedom + y * y / self.new.freedom).recip()
    }

    /// The difference over its standard error.
    pub fn t(&self) -> f64 {
        self.difference() / self.standard_error()
    }

    /// Two-sided probability of a `t` at least as far from 0 where the means are equal.
    pub fn p_value(&self) -> f64 {
        2.0 * student::tails(self.t().abs(), self.freedom()).upper
    }

    /// Limits of the difference.
    ///
    /// In simulation with 4 to 20 values a side, spreads up to four times as large on one, 95 % limits held in 95 % to 96 %
    /// of cases; Fieller's and the logarithm's limits of the ratio likewise.
    pub fn difference_limits(&self, confidence: Confidence) -> Interval {
        let reach = self.factor(confidence) * self.standard_error();
        Interval { low: self.difference() - reach, high: self.difference() + reach }
    }

    /// New mean over old.
    pub fn ratio(&self) -> f64 {
        self.new.mean / self.old.mean
    }

    /// Fieller's `g = t^2 vx / mx^2`: at 1 or above the old mean is not told from 0 and the ratio has no limits.
    pub fn g(&self, confidence: Confidence) -> f64 {
        let t = self.factor(confidence) / self.old.mean;
        t * t * self.old.variance
    }

    /// Fieller's limits of the ratio, `[R -+ t sqrt(vy + R^2 vx - g vy)/mx] / (1 - g)`, `t` at Welch's degrees of freedom;
    /// `None` where `g >= 1`.
    pub fn ratio_limits(&self, confidence: Confidence) -> Option<Interval> {
        let (g, r) = (self.g(confidence), self.ratio());
        if g >= 1.0 || g.is_nan() {
            return None;
        }
        let inner = self.new.variance + r * r * self.old.variance - g * self.new.variance;
        let reach = self.factor(confidence) * inner.max(0.0).sqrt() / self.old.mean.abs();
        Some(Interval { low: (r - reach) / (1.0 - g), high: (r + reach) / (1.0 - g) })
    }

    /// Limits of the ratio by its logarithm, `ln R -+ t sqrt(vx/mx^2 + vy/my^2)`; `None` unless the ratio is above 0.
    pub fn ln_ratio_limits(&self, confidence: Confidence) -> Option<Interval> {
        let r = self.ratio();
        let of = |s: Sample| s.variance.sqrt() / s.mean;
        let reach = self.factor(confidence) * of(self.old).hypot(of(self.new));
        (r > 0.0 && r.is_finite())
            .then(|| Interval { low: (r.ln() - reach).exp(), high: (r.ln() + reach).exp() })
    }

    fn factor(&self, confidence: Confidence) -> f64 {
        student::quantile(Tails::from_upper(confidence.half_risk()), self.freedom())
    }
}
