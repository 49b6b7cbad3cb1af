//! The forecast by drawing parameters from a normal distribution: common, and poor with few failures.

use crate::draws::gaussian;
use crate::error::{StatsError, finite, positive};
use crate::life::{Covariance, Distribution};

use super::{Cohort, Count};

/// The forecast averaged over drawn parameters.
#[derive(Clone, Debug)]
pub struct NormalForecast {
    /// Probability of `k` or fewer for `k = 0, 1, ...`.
    pub at_most: Vec<f64>,
    /// Mean of the expected counts; its tail is so heavy that it may not settle.
    pub mean_expected: f64,
    /// Median of the expected counts.
    pub median_expected: f64,
}

impl NormalForecast {
    /// The smallest `k` with `P(K <= k) > risk`.
    pub fn lower(&self, risk: f64) -> u64 {
        self.at_most.partition_point(|&p| p <= risk) as u64
    }

    /// The smallest `k` with `P(K <= k) >= level`.
    pub fn upper(&self, level: f64) -> u64 {
        self.at_most.partition_point(|&p| p < level) as u64
    }
}

/// Draws `(mu, ln sigma)` from a normal distribution around a fit and averages the Poisson forecasts, up to `longest`.
///
/// Here for comparison with programs that do so. With six failures its upper 95 % bound was 33 where the bootstrap's was
/// 12: prefer [`bootstrap`](super::bootstrap) below some 50 failures.
///
/// # Errors
/// [`StatsError::TooFew`] for no samples; [`StatsError::OutOfRange`] for a covariance that is none;
/// [`StatsError::ItemOutOfRange`] as in [`failure_probabilities`](super::failure_probabilities).
pub fn normal_approximation(
    around: &Distribution,
    covariance: Covariance,
    cohorts: &[Cohort],
    samples: usize,
    longest: u64,
    draw: &mut impl FnMut() -> u64,
) -> Result<NormalForecast, StatsError> {
    if samples == 0 {
        return Err(StatsError::TooFew { what: "samples", given: 0, needed: 1 });
    }
    let spread = positive("variance of the location", covariance.mu)?.sqrt();
    let tilt = finite("covariance", covariance.both)? / spread;
    let rest = covariance.ln_sigma - tilt * tilt;
    let rest = crate::error::not_negative("variance of the spread given the location", rest)?.sqrt();
    let mut expected = Vec::with_capacity(samples);
    let mut at_most = vec![0.0; longest as usize + 1];
    for _ in 0..samples {
        let (one, two) = (gaussian(draw), gaussian(draw));
        let mu = around.mu() + spread * one;
        let sigma = around.sigma() * (tilt * one + rest * two).exp();
        let drawn = Distribution::located(around.model(), mu, sigma);
        let rho = super::failure_probabilities(&drawn, cohorts)?;
        let mean = cohorts.iter().zip(rho).map(|(c, rho)| c.units as f64 * rho).sum::<f64>();
        expected.push(mean);
        let count = Count::poisson(mean)?;
        let mut below = 0.0;
        for (k, sum) in at_most.iter_mut().enumerate() {
            below += count.exactly(k as u64);
            *sum += below / samples as f64;
        }
    }
    expected.sort_unstable_by(f64::total_cmp);
    Ok(NormalForecast {
        at_most,
        mean_expected: expected.iter().sum::<f64>() / samples as f64,
        median_expected: 0.5 * (expected[(samples - 1) / 2] + expected[samples / 2]),
    })
}
