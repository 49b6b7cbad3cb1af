//! Strength against load: the probability that a part meets a load above its strength.

use crate::error::{StatsError, finite, not_negative, positive};
use crate::special::{Tails, normal};

mod quadrature;

/// The probability that strength exceeds load, and that it does not.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reliability {
    /// Distance of strength from load in standard deviations; `None` where the model has none.
    pub z: Option<f64>,
    /// Probability that the part holds.
    pub holds: f64,
    /// Probability that it fails, computed by itself: print this, never 1 less the other.
    pub fails: f64,
}

impl Reliability {
    fn at(z: f64) -> Self {
        let Tails { lower, upper } = normal::tails(z);
        Self { z: Some(z), holds: lower, fails: upper }
    }
}

/// Both normal: `z = (mS - mL) / sqrt(sS^2 + sL^2)`, `R = Phi(z)`. Any unit, the same for all four.
///
/// Common practice; the tails of a normal far out are an assumption that data seldom support.
///
/// ```
/// let r = stats::strength::normal((820.0, 80.0), (350.0, 40.0)).unwrap();
/// assert!((r.z.unwrap() - 5.25476).abs() < 1e-5 && (r.fails - 7.411e-8).abs() < 1e-11);
/// ```
///
/// # Errors
/// [`StatsError::OutOfRange`] for a mean that is not finite, a standard deviation below 0 or not finite, or both 0.
pub fn normal(strength: (f64, f64), load: (f64, f64)) -> Result<Reliability, StatsError> {
    let (strength_mean, load_mean) = (finite("mean strength", strength.0)?, finite("mean load", load.0)?);
    let spread = not_negative("standard deviation of strength", strength.1)?
        .hypot(not_negative("standard deviation of load", load.1)?);
    let spread = positive("combined standard deviation", spread)?;
    Ok(Reliability::at((strength_mean - load_mean) / spread))
}

/// Both lognormal, given by means and coefficients of variation:
/// `z = [ln(mS/mL) + ln((1 + CL^2)/(1 + CS^2))/2] / sqrt(ln((1 + CS^2)(1 + CL^2)))`.
///
/// ```
/// let r = stats::strength::lognormal((100.0, 0.1), (60.0, 0.25)).unwrap();
/// assert!((r.fails - 0.021_783_487_635).abs() < 1e-12);
/// ```
///
/// # Errors
/// [`StatsError::OutOfRange`] for a mean not finite and above 0, a coefficient of variation below 0 or not finite, or
/// both 0.
pub fn lognormal(strength: (f64, f64), load: (f64, f64)) -> Result<Reliability, StatsError> {
    let (of_strength, of_load) = (
        not_negative("coefficient of variation of strength", strength.1)?,
        not_negative("coefficient of variation of load", load.1)?,
    );
    let margin = ln_median_margin(strength, load)?;
    let variance = (of_strength * of_strength).ln_1p() + (of_load * of_load).ln_1p();
    Ok(Reliability::at(margin / positive("combined coefficient of variation", variance)?.sqrt()))
}

/// Natural logarithm of the ratio of the medians of lognormal strength and load; arguments as in [`lognormal`].
///
/// # Errors
/// [`StatsError::OutOfRange`] for a mean not finite and above 0.
pub fn ln_median_margin(strength: (f64, f64), load: (f64, f64)) -> Result<f64, StatsError> {
    let means = positive("mean strength", strength.0)?.ln() - positive("mean load", load.0)?.ln();
    Ok(means + 0.5 * ((load.1 * load.1).ln_1p() - (strength.1 * strength.1).ln_1p()))
}

/// Weibull strength `(scale, shape)` against a normal load `(mean, standard deviation)`, by integration:
/// `1 - R = integral of phi_L(l) F_S(l)` over loads above 0; a load below 0 counts as held.
///
/// The reference cases, integrated with 30 digits, agree to 1e-12.
///
/// ```
/// let r = stats::strength::weibull_normal((500.0, 3.0), (200.0, 50.0)).unwrap();
/// assert!((r.fails - 0.071_874_951_287).abs() < 1e-11);
/// ```
///
/// # Errors
/// [`StatsError::OutOfRange`] for a scale or shape not finite and above 0, a mean that is not finite, or a standard
/// deviation below 0 or not finite.
pub fn weibull_normal(strength: (f64, f64), load: (f64, f64)) -> Result<Reliability, StatsError> {
    let scale = positive("scale of strength", strength.0)?;
    let shape = positive("shape of strength", strength.1)?;
    let mean = finite("mean load", load.0)?;
    let spread = not_negative("standard deviation of load", load.1)?;
    let use_of = |l: f64| (l.max(0.0) / scale).powf(shape);
    if spread == 0.0 {
        let e = use_of(mean);
        return Ok(Reliability { z: None, holds: (-e).exp(), fails: -(-e).exp_m1() });
    }
    // The normal density is below 1e-300 beyond 38 standard deviations.
    let (low, high) = ((mean - 38.0 * spread).max(0.0), (mean + 38.0 * spread).max(0.0));
    let mut cuts = [low, mean.clamp(low, high), scale.clamp(low, high), high];
    cuts.sort_unstable_by(f64::total_cmp);
    let over = |part: &dyn Fn(f64) -> f64| -> f64 {
        let f = |l: f64| normal::density((l - mean) / spread) / spread * part(use_of(l));
        cuts.windows(2).map(|cut| quadrature::integrate(cut[0], cut[1], f)).sum()
    };
    let below_zero = normal::tails(-mean / spread).lower;
    let holds = (below_zero + over(&|e| (-e).exp())).min(1.0);
    let fails = over(&|e| -(-e).exp_m1()).min(1.0);
    Ok(Reliability { z: None, holds, fails })
}
