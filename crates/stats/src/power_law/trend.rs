//! Laplace's test of trend: do repairs come early or late in the time watched.

use crate::error::StatsError;
use crate::history::History;
use crate::special::normal;

/// The test's result.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Laplace {
    /// Standard normal when the rate is constant; above 0 repairs come late, so that units get worse.
    pub u: f64,
    /// Two-sided probability of a `u` at least as far from 0.
    pub p_value: f64,
}

fn of(u: f64) -> Laplace {
    Laplace { u, p_value: 2.0 * normal::tails(u.abs()).upper }
}

/// `U = (sum t - sum n_i (a_i + b_i)/2) / sqrt(sum n_i (b_i - a_i)^2 / 12)` over units watched in `(a_i, b_i]`.
///
/// Source: D. R. Cox and P. A. W. Lewis, The Statistical Analysis of Series of Events (1966).
///
/// ```
/// use stats::{history::History, power_law::laplace};
/// let late = laplace(&[History::new(0.0, 10.0, [9.367]).unwrap()]).unwrap();
/// assert!((late.u - 1.512_773).abs() < 1e-6 && (late.p_value - 0.130_337).abs() < 1e-6);
/// ```
///
/// # Errors
/// [`StatsError::NoEstimate`] without repairs.
pub fn laplace(units: &[History]) -> Result<Laplace, StatsError> {
    let (mut sum, mut variance) = (0.0, 0.0);
    for unit in units {
        let middle = 0.5 * (unit.start() + unit.end());
        sum += unit.repairs().iter().map(|t| t - middle).sum::<f64>();
        variance += unit.repairs().len() as f64 * (unit.end() - unit.start()).powi(2) / 12.0;
    }
    if variance == 0.0 {
        return Err(super::NO_EVENTS);
    }
    Ok(of(sum / variance.sqrt()))
}

/// The same for one unit watched until its last repair, which is left out.
///
/// # Errors
/// [`StatsError::TooFew`] for fewer than two repairs; [`StatsError::ItemOutOfRange`] for an age not finite and above 0.
pub fn laplace_failure_terminated(repairs: &[f64]) -> Result<Laplace, StatsError> {
    if repairs.len() < 2 {
        return Err(StatsError::TooFew { what: "repairs", given: repairs.len(), needed: 2 });
    }
    let mut sorted = repairs.to_vec();
    sorted.sort_unstable_by(f64::total_cmp);
    let end = sorted[sorted.len() - 1];
    let before = sorted[..sorted.len() - 1].iter().copied();
    laplace(&[History::new(0.0, end, before)?])
}
