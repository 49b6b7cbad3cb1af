//! The spread of true ratios over lots, to which each lot's own ratio is shrunk.

use stats::shrinkage::{Cell, Fit, fit_one_gamma};

/// What expects less tells nothing of the spread: items that came yesterday.
const LEAST_EXPECTED: f64 = 1e-9;
/// Above this many lots the spread is estimated by moments: with so many the two agree, and it takes one pass.
const MANY: usize = 1000;

/// Fits the gamma distribution of true ratios: by maximum likelihood, or by moments for many lots.
pub(super) fn fit_prior(cells: &[Cell]) -> Fit {
    let cells: Vec<Cell> = cells.iter().copied().filter(|cell| cell.expected >= LEAST_EXPECTED).collect();
    if cells.len() <= MANY {
        return fit_one_gamma(&cells).unwrap_or(Fit::NoSignal);
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

#[cfg(test)]
mod tests {
    use super::*;

    /// The ten pumps of Gaver & O'Muircheartaigh (1987), and an eleventh that was set up a moment ago.
    #[test]
    fn what_was_hardly_looked_at_leaves_the_spread_of_the_others() {
        let hours = [94.32, 15.72, 62.88, 125.76, 5.24, 31.44, 1.048, 1.048, 2.096, 10.48, 1e-10];
        let failures = [5, 1, 5, 14, 3, 19, 1, 1, 4, 22, 0];
        let pumps = failures.into_iter().zip(hours).map(|(count, expected)| Cell { count, expected });
        let Fit::OneGamma { shape, rate, .. } = fit_prior(&pumps.collect::<Vec<_>>()) else {
            panic!("they differ")
        };
        assert!((shape - 0.8223).abs() < 5e-5 && (rate - 1.2590).abs() < 5e-5, "{shape} {rate}");
    }
}
