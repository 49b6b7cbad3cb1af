//! The spread of true ratios over lots, to which each lot's own ratio is shrunk.

use stats::shrinkage::{Cell, Fit, fit_one_gamma};

/// Above this many lots the spread is estimated by moments: with so many the two agree, and it takes one pass.
const MANY: usize = 1000;

/// Fits the gamma distribution of true ratios: by maximum likelihood, or by moments for many lots.
pub(super) fn fit_prior(cells: &[Cell]) -> Fit {
    if cells.len() <= MANY {
        return fit_one_gamma(cells).unwrap_or(Fit::NoSignal);
    }
    let count: f64 = cells.iter().map(|c| c.count as f64).sum();
    let expected: f64 = cells.iter().map(|c| c.expected).sum();
    let mean = count / expected;
    let excess: f64 =
        cells.iter().map(|c| (c.count as f64 - mean * c.expected).powi(2) - c.count as f64).sum();
    let squares: f64 = cells.iter().map(|c| c.expected * c.expected).sum();
    if count == 0.0 || excess <= 0.0 {
        return Fit::NoSignal;
    }
    let shape = (mean * mean * squares / excess).clamp(1e-2, 1e4);
    // The likelihood is not worked out: nothing reads it here.
    Fit::OneGamma { shape, rate: shape / mean, log_likelihood: f64::NAN }
}
