//! The maximum of the likelihood and what follows from its curvature: standard errors and Wald limits.

use super::distribution::{Distribution, Model};
use super::existence::{self, NoFit};
use super::likelihood::{Likelihood, Local};
use super::start::Place;
use crate::lifetimes::Lifetimes;
use crate::value::{Confidence, Interval, Probability};

/// A limit beyond this multiple of the longest age says nothing useful of the field.
const USEFUL_MULTIPLE: f64 = 1e3;

/// A fitted life distribution with its data, from which limits are found.
#[derive(Clone, Debug)]
pub struct Fit {
    pub(crate) distribution: Distribution,
    pub(crate) likelihood: Likelihood,
    /// Summit in `(a, b)`, the coordinates of [`Likelihood`].
    pub(crate) summit: (f64, f64),
    pub(crate) log_likelihood: f64,
    /// Variances of `mu` and `ln sigma`, and their covariance.
    covariance: Covariance,
    longest: f64,
}

/// Variances and covariance of the estimates of `mu` and `ln sigma`, from the observed information.
///
/// For a Weibull `ln eta = mu` and `ln beta = -ln sigma`, so that `cov(ln eta, ln beta) = -cov(mu, ln sigma)`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Covariance {
    /// Variance of `mu`.
    pub mu: f64,
    /// Variance of `ln sigma`, 0 for an exponential.
    pub ln_sigma: f64,
    /// Covariance of the two, 0 for an exponential.
    pub both: f64,
}

/// Fits a model by maximum likelihood: Newton's method in `(a, b)`, `z = b ln t - a`, with steps halved as needed.
///
/// ```
/// use stats::life::{Model, fit};
/// use stats::lifetimes::{Life, Lifetimes};
/// // NIST/SEMATECH e-Handbook of Statistical Methods, 8.4.1.3: 20 units tested for 500 h.
/// let failed = [54.0, 187.0, 216.0, 240.0, 244.0, 335.0, 361.0, 373.0, 375.0, 386.0];
/// let lives = failed.map(Life::failed).into_iter().chain([Life::survived(500.0).times(10.0)]);
/// let fit = fit(&Lifetimes::new(lives).unwrap(), Model::Weibull).unwrap();
/// assert!((fit.distribution().scale() - 606.5280).abs() < 1e-3);
/// assert!((fit.distribution().shape() - 1.7208).abs() < 1e-4);
/// assert!((fit.log_likelihood() + 75.135).abs() < 1e-3);
/// ```
///
/// # Errors
/// [`NoFit`] where the likelihood has no maximum, with the reason.
pub fn fit(lifetimes: &Lifetimes, model: Model) -> Result<Fit, NoFit> {
    existence::check(lifetimes, model.parameters() == 2)?;
    let likelihood = Likelihood::new(model, lifetimes);
    let Summit { point, local } = climb(&likelihood, model.parameters() == 2)?;
    let (a, b) = point;
    let distribution = Distribution::located(model, likelihood.centre + a / b, b.recip());
    let covariance = if model.parameters() == 2 {
        spread(&local, a, b)
    } else {
        Covariance { mu: -local.daa.recip(), ln_sigma: 0.0, both: 0.0 }
    };
    // A climb that ended on a slope without end has no cap under it.
    if !(covariance.mu > 0.0 && covariance.ln_sigma >= 0.0) {
        return Err(NoFit::NoShape);
    }
    Ok(Fit {
        distribution,
        summit: point,
        log_likelihood: local.value,
        likelihood,
        covariance,
        longest: lifetimes.longest(),
    })
}

pub(crate) struct Summit {
    pub(crate) point: (f64, f64),
    pub(crate) local: Local,
}

/// Climbs to the summit, over `a` alone with `b = 1` where `b` is not free.
pub(crate) fn climb(likelihood: &Likelihood, free_shape: bool) -> Result<Summit, NoFit> {
    climb_from(likelihood, likelihood.start(free_shape), free_shape)
}

pub(super) fn climb_from(likelihood: &Likelihood, start: Place, free_shape: bool) -> Result<Summit, NoFit> {
    let Place { mut a, mut b, local: mut here } = start;
    // A step that gains less leaves an error far below that of rounding once it is taken.
    let small = 1e-13 * likelihood.failures().max(1.0);
    for _ in 0..300 {
        let (step_a, step_b) = if free_shape { uphill(&here) } else { (-here.da / here.daa, 0.0) };
        let gain = 0.5 * (step_a * here.da + step_b * here.db);
        if gain.abs() < 1e-12 * small {
            return Ok(Summit { point: (a, b), local: here });
        }
        let mut share = 1.0_f64;
        if b + step_b <= 0.1 * b {
            share = -0.9 * b / step_b;
        }
        let slack = 1e-12 * (1.0 + here.value.abs());
        let next = loop {
            let point = (a + share * step_a, b + share * step_b);
            let there = likelihood.at(point.0, point.1);
            if there.value >= here.value - slack && there.is_finite() {
                break Some((point, there));
            }
            share *= 0.5;
            if share < 1e-12 {
                break None;
            }
        };
        let Some((point, there)) = next else {
            return Err(NoFit::NoShape);
        };
        ((a, b), here) = (point, there);
        if gain < small && share == 1.0 {
            return Ok(Summit { point: (a, b), local: here });
        }
        if b < 1e-9 {
            return Err(NoFit::NoShape);
        }
        if b > 1e12 {
            return Err(NoFit::NoSpread);
        }
    }
    Err(NoFit::NoShape)
}

/// Newton's step, with the curvature made steeper where the surface is not a cap (late entries can do that).
fn uphill(here: &Local) -> (f64, f64) {
    let (mut paa, mut pbb, pab) = (-here.daa, -here.dbb, -here.dab);
    let mut ridge = 1e-3;
    while !(paa > 0.0 && paa * pbb - pab * pab > 1e-14 * paa * pbb.abs()) && ridge < 1e12 {
        let scale = (here.daa.abs() + here.dbb.abs() + here.dab.abs()).max(1e-300);
        (paa, pbb) = (-here.daa + ridge * scale, -here.dbb + ridge * scale);
        ridge *= 4.0;
    }
    let det = paa * pbb - pab * pab;
    ((pbb * here.da - pab * here.db) / det, (paa * here.db - pab * here.da) / det)
}

/// Covariance of `(mu, ln sigma)` by the change of coordinates `mu = a/b`, `ln sigma = -ln b` at the summit.
fn spread(local: &Local, a: f64, b: f64) -> Covariance {
    let det = local.daa * local.dbb - local.dab * local.dab;
    let (va, vb, vab) = (-local.dbb / det, -local.daa / det, local.dab / det);
    let (mu_a, mu_b, s_b) = (b.recip(), -a / (b * b), -b.recip());
    Covariance {
        mu: mu_a * mu_a * va + 2.0 * mu_a * mu_b * vab + mu_b * mu_b * vb,
        ln_sigma: s_b * s_b * vb,
        both: s_b * (mu_a * vab + mu_b * vb),
    }
}

impl Fit {
    /// The fitted distribution.
    pub fn distribution(&self) -> Distribution {
        self.distribution
    }

    /// Natural logarithm of the likelihood at its maximum.
    pub fn log_likelihood(&self) -> f64 {
        self.log_likelihood
    }

    /// Akaike's criterion `2p - 2l`; of models of the same lives the one with the smaller value is preferred.
    pub fn aic(&self) -> f64 {
        2.0 * self.distribution.model().parameters() as f64 - 2.0 * self.log_likelihood
    }

    /// Variances and covariance of `mu` and `ln sigma`.
    pub fn covariance(&self) -> Covariance {
        self.covariance
    }

    /// The upper limit, or `None` where it lies beyond 1,000 times the longest age seen and so says nothing useful.
    pub fn useful_upper(&self, limits: Interval) -> Option<f64> {
        (limits.high <= USEFUL_MULTIPLE * self.longest).then_some(limits.high)
    }

    /// Wald limits of the scale, `exp(mu -+ z se(mu))`. With few failures they are far off on the upper side:
    /// prefer [`Fit::scale_limits`].
    pub fn scale_wald(&self, confidence: Confidence) -> Interval {
        around(self.distribution.mu(), self.covariance.mu, confidence)
    }

    /// Wald limits of the shape `1/sigma`, on the log scale; the shape itself twice for an exponential.
    pub fn shape_wald(&self, confidence: Confidence) -> Interval {
        around(self.distribution.shape().ln(), self.covariance.ln_sigma, confidence)
    }

    /// Standard error of the logarithm of a quantile:
    /// `sqrt(var mu + (sigma z_p)^2 var ln sigma + 2 sigma z_p cov)`.
    pub fn quantile_ln_standard_error(&self, fraction: Probability) -> f64 {
        self.quantile_variance(fraction).sqrt()
    }

    fn quantile_variance(&self, fraction: Probability) -> f64 {
        let d = self.distribution;
        let lever = d.sigma() * Distribution::standard_quantile(d.model(), fraction);
        let c = self.covariance;
        if c.ln_sigma == 0.0 {
            return c.mu;
        }
        c.mu + lever * lever * c.ln_sigma + 2.0 * lever * c.both
    }

    /// Wald limits of the age by which a fraction fails, on the log scale.
    pub fn quantile_wald(&self, fraction: Probability, confidence: Confidence) -> Interval {
        around(self.distribution.quantile(fraction).ln(), self.quantile_variance(fraction), confidence)
    }

    /// Wald limits of the fraction failed by an age above 0, on the scale of `z`; they stay within 0 and 1 and make
    /// the band of a probability plot.
    pub fn failed_by_wald(&self, age: f64, confidence: Confidence) -> Interval {
        let d = self.distribution;
        let (z, c) = (d.z(age), self.covariance);
        let variance = c.mu / (d.sigma() * d.sigma()) + 2.0 * z / d.sigma() * c.both + z * z * c.ln_sigma;
        let reach = confidence.normal_reach() * variance.sqrt();
        Interval { low: d.tails_at(z - reach).lower, high: d.tails_at(z + reach).lower }
    }
}

/// Limits about a value whose logarithm has this variance.
pub(super) fn around(log: f64, variance: f64, confidence: Confidence) -> Interval {
    let reach = confidence.normal_reach() * variance.sqrt();
    Interval { low: (log - reach).exp(), high: (log + reach).exp() }
}
