//! A life distribution with known parameters: survival, quantiles, mean.

use crate::error::{StatsError, finite, positive};
use crate::special::{Tails, gamma, normal};
use crate::value::Probability;

use super::likelihood::Standard;

/// The families that can be fitted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Model {
    /// Constant hazard; one parameter.
    Exponential,
    /// Hazard a power of age; two parameters.
    Weibull,
    /// Normal in log age; two parameters.
    Lognormal,
}

impl Model {
    pub(crate) fn standard(self) -> Standard {
        match self {
            Self::Exponential | Self::Weibull => Standard::Extreme,
            Self::Lognormal => Standard::Normal,
        }
    }

    /// How many parameters are fitted.
    pub fn parameters(self) -> usize {
        if self == Self::Exponential { 1 } else { 2 }
    }
}

/// Passes on a number above 0 that still is one when it is turned over.
fn invertible(what: &'static str, value: f64) -> Result<f64, StatsError> {
    if (1e-300..=1e300).contains(&value) {
        Ok(value)
    } else {
        Err(StatsError::OutOfRange { what, value, accepted: "from 1e-300 to 1e300" })
    }
}

/// A life distribution with location `mu` and spread `sigma` in log age.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Distribution {
    model: Model,
    mu: f64,
    sigma: f64,
}

impl Distribution {
    /// Exponential with mean `theta > 0`.
    ///
    /// # Errors
    /// [`StatsError::OutOfRange`] for a mean that is not finite and above 0.
    pub fn exponential(theta: f64) -> Result<Self, StatsError> {
        let mu = positive("mean life", theta)?.ln();
        Ok(Self { model: Model::Exponential, mu, sigma: 1.0 })
    }

    /// Weibull with scale `eta > 0` (the age by which 63.2 % fail) and shape `beta > 0`.
    ///
    /// ```
    /// use stats::life::Distribution;
    /// let d = Distribution::weibull(11792.178, 2.0353186).unwrap();
    /// assert!((d.quantile(stats::Probability::new(0.1).unwrap()) - 3903.127).abs() < 0.01);
    /// ```
    ///
    /// # Errors
    /// [`StatsError::OutOfRange`] for a scale that is not finite and above 0 or a shape outside 1e-300 to 1e300.
    pub fn weibull(eta: f64, beta: f64) -> Result<Self, StatsError> {
        let mu = positive("scale", eta)?.ln();
        Ok(Self { model: Model::Weibull, mu, sigma: invertible("shape", beta)?.recip() })
    }

    /// Lognormal: log age is normal with mean `mu` and standard deviation `sigma > 0`.
    ///
    /// # Errors
    /// [`StatsError::OutOfRange`] for a `mu` that is not finite or a `sigma` outside 1e-300 to 1e300.
    pub fn lognormal(mu: f64, sigma: f64) -> Result<Self, StatsError> {
        let mu = finite("mean of log life", mu)?;
        Ok(Self { model: Model::Lognormal, mu, sigma: invertible("spread of log life", sigma)? })
    }

    pub(crate) fn located(model: Model, mu: f64, sigma: f64) -> Self {
        Self { model, mu, sigma }
    }

    /// The family.
    pub fn model(&self) -> Model {
        self.model
    }

    /// Location in log age: `ln eta`, `ln theta`, or the mean of log age.
    pub fn mu(&self) -> f64 {
        self.mu
    }

    /// Spread in log age: `1/beta`, 1, or the standard deviation of log age.
    pub fn sigma(&self) -> f64 {
        self.sigma
    }

    /// `e^mu`: `eta` of a Weibull, the mean of an exponential, the median of a lognormal.
    pub fn scale(&self) -> f64 {
        self.mu.exp()
    }

    /// `1/sigma`: `beta` of a Weibull. Below 1 the hazard falls with age, above 1 it rises.
    pub fn shape(&self) -> f64 {
        self.sigma.recip()
    }

    /// `(ln age - mu) / sigma`.
    pub(crate) fn z(&self, age: f64) -> f64 {
        (age.ln() - self.mu) / self.sigma
    }

    /// Natural logarithm of the probability to survive an age of 0 or more.
    pub fn ln_survival(&self, age: f64) -> f64 {
        match self.model.standard() {
            _ if age == 0.0 => 0.0,
            Standard::Extreme => -self.z(age).exp(),
            Standard::Normal => normal::ln_upper(self.z(age)),
        }
    }

    /// Probability to have failed by an age (`lower`) and to survive it (`upper`).
    pub fn tails(&self, age: f64) -> Tails {
        self.tails_at(if age == 0.0 { f64::NEG_INFINITY } else { self.z(age) })
    }

    pub(crate) fn tails_at(&self, z: f64) -> Tails {
        match self.model.standard() {
            Standard::Extreme => {
                let e = z.exp();
                Tails { lower: -(-e).exp_m1(), upper: (-e).exp() }
            }
            Standard::Normal => normal::tails(z),
        }
    }

    /// Probability that a unit alive at `age` fails within `more`: `1 - S(age + more) / S(age)`.
    ///
    /// Both are 0 or more. Where survival to `age` is too small for a number the answer is its limit, 1.
    pub fn conditional_failure(&self, age: f64, more: f64) -> f64 {
        if more == 0.0 {
            return 0.0;
        }
        if self.model.standard() == Standard::Extreme && age > 0.0 {
            // e^z (e^(ln(1 + more/age)/sigma) - 1) keeps its digits where the two survivals are nearly equal.
            let rise = (more / age).ln_1p() / self.sigma;
            let hazard = self.z(age).exp() * rise.exp_m1();
            if !hazard.is_nan() {
                return -(-hazard).exp_m1();
            }
        }
        let before = self.ln_survival(age);
        if before == f64::NEG_INFINITY {
            return 1.0;
        }
        -(self.ln_survival(age + more) - before).exp_m1()
    }

    /// Standard quantile: `ln(-ln(1-p))` or the normal's.
    pub(crate) fn standard_quantile(model: Model, fraction: Probability) -> f64 {
        match model.standard() {
            Standard::Extreme => (-(-fraction.value()).ln_1p()).ln(),
            Standard::Normal => normal::quantile(Tails::from_lower(fraction.value())),
        }
    }

    /// Age by which a fraction fails: `exp(mu + sigma z_p)`. A fraction of 0.1 gives B10.
    pub fn quantile(&self, fraction: Probability) -> f64 {
        (self.mu + self.sigma * Self::standard_quantile(self.model, fraction)).exp()
    }

    /// Mean life: `eta Gamma(1 + 1/beta)`, or `exp(mu + sigma^2/2)`.
    pub fn mean(&self) -> f64 {
        match self.model.standard() {
            Standard::Extreme => (self.mu + gamma::ln_gamma(1.0 + self.sigma)).exp(),
            Standard::Normal => (self.mu + 0.5 * self.sigma * self.sigma).exp(),
        }
    }
}
