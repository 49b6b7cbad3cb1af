//! A Weibull with an assumed shape: an estimate from one failure on, and a lower limit even without any.

use crate::error::{StatsError, positive};
use crate::lifetimes::{End, Lifetimes};
use crate::special::{Tails, gamma};
use crate::value::{Confidence, Probability};

/// What lives say of the scale of a Weibull whose shape is assumed.
///
/// With `t^beta` as the unit of use the Weibull is an exponential: `r` failures in `sum w t^beta`.
/// Source: W. Nelson, "Weibull analysis of reliability data with few or no failures", J. Quality Technology 17
/// (1985). The result is only as good as the shape: show it for a low and a high one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FixedShape {
    shape: f64,
    failures: f64,
    longest: f64,
    /// Sum of `w (t / longest)^shape`, less the same at entry.
    use_sum: f64,
}

impl FixedShape {
    /// Sums the lives up for a shape `beta > 0`.
    ///
    /// ```
    /// use stats::{Confidence, Probability, life::fixed_shape::FixedShape, lifetimes::{Life, Lifetimes}};
    /// // 20, 30 and 2 units ran 100, 50 and 400 h without a failure.
    /// let lives = [Life::survived(100.0).times(20.0), Life::survived(50.0).times(30.0), Life::survived(400.0).times(2.0)];
    /// let none = FixedShape::new(&Lifetimes::new(lives).unwrap(), 2.0).unwrap();
    /// assert_eq!(none.scale(), None);
    /// assert!((none.scale_lower(Confidence::new(0.632).unwrap()) - 771.488834).abs() < 1e-6);
    /// ```
    ///
    /// # Errors
    /// [`StatsError::OutOfRange`] for a shape not finite and above 0; [`StatsError::NoEstimate`] where a failure is
    /// known to an interval only.
    pub fn new(lifetimes: &Lifetimes, shape: f64) -> Result<Self, StatsError> {
        positive("shape", shape)?;
        lifetimes.exact_only()?;
        let longest = lifetimes.longest();
        let mut use_sum = 0.0;
        for life in lifetimes.lives() {
            let (End::Failed(age) | End::Survived(age) | End::FailedBefore(age) | End::FailedBetween(_, age)) =
                life.end;
            let before = (life.entry / longest).powf(shape);
            use_sum += life.weight * ((age / longest).powf(shape) - before);
        }
        Ok(Self { shape, failures: lifetimes.failures(), longest, use_sum })
    }

    /// Failures, weights added.
    pub fn failures(&self) -> f64 {
        self.failures
    }

    /// `sum w t^beta` (less the same at entry); infinite where that is too large for a number.
    pub fn use_total(&self) -> f64 {
        self.use_sum * self.longest.powf(self.shape)
    }

    /// Scale `eta = (sum w t^beta / r)^(1/beta)`; `None` without a failure.
    pub fn scale(&self) -> Option<f64> {
        (self.failures > 0.0).then(|| self.root(self.use_sum / self.failures))
    }

    /// One-sided lower limit of the scale, `(2 sum w t^beta / chi2_C(2r + 2))^(1/beta)`, for watching that ended at a
    /// time and not at a failure.
    pub fn scale_lower(&self, confidence: Confidence) -> f64 {
        let wanted = Tails { lower: confidence.value(), upper: confidence.risk() };
        self.root(self.use_sum / gamma::quantile(self.failures + 1.0, wanted))
    }

    /// Age by which a fraction fails; `None` without a failure.
    pub fn quantile(&self, fraction: Probability) -> Option<f64> {
        self.scale().map(|scale| scale * self.reach(fraction))
    }

    /// One-sided lower limit of the age by which a fraction fails.
    pub fn quantile_lower(&self, fraction: Probability, confidence: Confidence) -> f64 {
        self.scale_lower(confidence) * self.reach(fraction)
    }

    fn root(&self, mean_use: f64) -> f64 {
        self.longest * mean_use.powf(self.shape.recip())
    }

    fn reach(&self, fraction: Probability) -> f64 {
        (-(-fraction.value()).ln_1p()).powf(self.shape.recip())
    }
}
