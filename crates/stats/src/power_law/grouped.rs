//! The power-law process from counts between inspections.

use crate::error::StatsError;
use crate::special::{gamma, root};

/// A power-law process fitted to counts.
#[derive(Clone, Debug, PartialEq)]
pub struct Grouped {
    /// `beta`.
    pub shape: f64,
    /// `lambda`.
    pub scale: f64,
    /// Natural logarithm of the likelihood of the counts as Poisson.
    pub log_likelihood: f64,
    /// Expected count of each interval, to compare with those seen.
    pub expected: Vec<f64>,
    /// Mean rate over the last interval.
    pub last_intensity: f64,
}

/// Fits counts between the ages `edges`, which begin at 0 and rise: the root of
/// `sum n_i [(t_i^b ln t_i - t_{i-1}^b ln t_{i-1}) / (t_i^b - t_{i-1}^b) - ln T] = 0`, `lambda = N / T^b`.
///
/// ```
/// // MIL-HDBK-189, groups of 20 h (from memory, found again): beta .753, lambda 1.53.
/// let fit = stats::power_law::grouped(&[0.0, 20.0, 40.0, 60.0, 80.0, 100.0], &[13, 16, 5, 8, 7]).unwrap();
/// assert!((fit.shape - 0.753).abs() < 5e-4 && (fit.scale - 1.53).abs() < 5e-3);
/// ```
///
/// # Errors
/// [`StatsError::LengthsDiffer`] unless there is one more edge than counts; [`StatsError::ItemOutOfRange`] for edges that
/// do not begin at 0 and rise; [`StatsError::NoEstimate`] without repairs, for a single interval, or where all repairs fell
/// in the first or in the last; [`StatsError::OutOfRange`] for counts that add up to 2^53.
pub fn grouped(edges: &[f64], counts: &[u64]) -> Result<Grouped, StatsError> {
    if edges.len() != counts.len() + 1 {
        return Err(StatsError::LengthsDiffer {
            first: "edges (one more than counts is needed)",
            second: "counts",
            lengths: (edges.len(), counts.len()),
        });
    }
    for (index, &value) in edges.iter().enumerate() {
        let sound = if index == 0 { value == 0.0 } else { value > edges[index - 1] && value.is_finite() };
        if !sound {
            let accepted = "0 for the first, and for each other finite and above the one before";
            return Err(StatsError::ItemOutOfRange { what: "edge of interval", index, value, accepted });
        }
    }
    let total = crate::error::total("total of the counts", counts)? as f64;
    let (first, last) = (counts.first().copied().unwrap_or(0), counts.last().copied().unwrap_or(0));
    if total == 0.0 {
        return Err(super::NO_EVENTS);
    }
    if first as f64 == total {
        let reason =
            "all repairs fell in the first interval, so that ever smaller shapes fit as well or better";
        return Err(StatsError::NoEstimate { reason });
    }
    if last as f64 == total {
        return Err(super::ALL_AT_END);
    }
    let end = edges[edges.len() - 1];
    // With d = ln(t_i / t_{i-1}) each bracket is ln(t_i / T) + d / (e^(b d) - 1), which has no difference of powers.
    let parts: Vec<(f64, f64, f64)> = edges
        .windows(2)
        .zip(counts)
        .filter(|(_, n)| **n > 0)
        .map(|(edge, &n)| (n as f64, (edge[1] / end).ln(), (edge[1] / edge[0]).ln()))
        .collect();
    let score = |log_shape: f64| {
        let b = log_shape.exp();
        -parts
            .iter()
            .map(|&(n, upper, d)| n * (upper + if d.is_infinite() { 0.0 } else { d / (b * d).exp_m1() }))
            .sum::<f64>()
    };
    let shape = root::widened(0.0, 0.5, score).exp();
    let ln_scale = total.ln() - shape * end.ln();
    let at = |edge: f64| total * (edge / end).powf(shape);
    let expected: Vec<f64> = edges
        .windows(2)
        .map(|edge| {
            if edge[0] == 0.0 {
                return at(edge[1]);
            }
            at(edge[0]) * (shape * (edge[1] / edge[0]).ln()).exp_m1()
        })
        .collect();
    let log_likelihood = expected
        .iter()
        .zip(counts)
        .map(|(mean, &n)| n as f64 * mean.ln() - mean - gamma::ln_gamma(n as f64 + 1.0))
        .sum();
    let width = end - edges[edges.len() - 2];
    let last_intensity = expected[expected.len() - 1] / width;
    Ok(Grouped { shape, scale: ln_scale.exp(), log_likelihood, expected, last_intensity })
}
