//! Fitting a mixture of two gamma distributions of true ratios to a table.

use super::one_gamma::{checked, fit_one_gamma};
use super::quasi_newton::{Slope, climb};
use super::table::Table;
use super::{Cell, Fit, Gamma};
use crate::error::StatsError;
use crate::special::digamma::digamma;
use crate::special::gamma::ln_rising;

/// Fewer cells cannot carry five parameters.
const FEWEST_CELLS: usize = 50;
/// Logarithms of shapes and rates stay within this: the likelihood often runs away towards a point mass.
const BOUND: f64 = 12.0;
/// Cells on which the starts are compared; the best is then finished on the whole table.
const TRIAL_CELLS: usize = 2000;

/// Starts: shape and rate of each component, and the share of the first. The first is DuMouchel's.
const STARTS: [[f64; 5]; 6] = [
    [0.2, 0.1, 2.0, 4.0, 1.0 / 3.0],
    [2.0, 1.0, 20.0, 25.0, 0.2],
    [5.0, 2.0, 1000.0, 1500.0, 0.5],
    [50.0, 30.0, 50.0, 80.0, 0.5],
    [0.5, 0.1, 1000.0, 1000.0, 0.1],
    [1000.0, 400.0, 3.0, 4.0, 0.1],
];

impl Table {
    /// Log-likelihood and its slopes in `(ln a1, ln b1, ln a2, ln b2, logit weight)`.
    fn likelihood(&self, at: &[f64; 5]) -> Slope<5> {
        let gammas = [(at[0].exp(), at[1].exp()), (at[2].exp(), at[3].exp())];
        let weight = 1.0 / (1.0 + (-at[4]).exp());
        let ln_share = [-(-at[4]).exp().ln_1p(), -at[4].exp().ln_1p()];
        // What depends on the count alone, once for each different count.
        let rising = gammas.map(|(a, _)| self.counts.iter().map(|&n| ln_rising(a, n)).collect::<Vec<_>>());
        let psi = gammas.map(|(a, _)| {
            let base = digamma(a);
            self.counts
                .iter()
                .map(|&n| if n == 0.0 { 0.0 } else { digamma(a + n) - base })
                .collect::<Vec<_>>()
        });
        let (mut value, mut slope) = (self.constant, [0.0; 5]);
        for &(place, expected) in &self.cells {
            let n = self.counts[place];
            let ln_grown = gammas.map(|(_, b)| (expected / b).ln_1p());
            // ln of the marginal without the parts common to both: rising(a, n) - n ln b - (a + n) ln(1 + E/b)
            let part = |i: usize| {
                rising[i][place] - n * at[2 * i + 1] - (gammas[i].0 + n) * ln_grown[i] + ln_share[i]
            };
            let parts = [part(0), part(1)];
            let odds = (parts[1] - parts[0]).exp();
            let first = 1.0 / (1.0 + odds);
            value += if odds < 1.0 { parts[0] + odds.ln_1p() } else { parts[1] + odds.recip().ln_1p() };
            slope[4] += first - weight;
            for (i, share) in [first, 1.0 - first].into_iter().enumerate() {
                let (a, b) = gammas[i];
                slope[2 * i] += share * a * (psi[i][place] - ln_grown[i]);
                slope[2 * i + 1] += share * (a * expected - n * b) / (b + expected);
            }
        }
        (value, slope)
    }
}

/// Log-likelihood of Poisson counts that have the pooled ratio in common: `sum(n ln(m E) - m E - lgamma(n + 1))`.
fn of_one_ratio(cells: &[Cell]) -> f64 {
    let count: f64 = cells.iter().map(|cell| cell.count as f64).sum();
    let expected: f64 = cells.iter().map(|cell| cell.expected).sum();
    let constant = Table::new(cells.iter().copied()).constant;
    // Without events the ratio is 0, and nothing seen is certain.
    if count == 0.0 { constant } else { constant + count * ((count / expected).ln() - 1.0) }
}

/// Fits a mixture of two gamma distributions of true ratios by maximum likelihood.
///
/// The likelihood has several maxima and often runs away until one component is a point mass, so that six starts are
/// tried, logarithms of shapes and rates are kept within -12 to 12, and a fit is to be judged by its likelihood, not by
/// its parameters. With fewer than 50 cells, or where the second component gains nothing, the answer is that of
/// [`fit_one_gamma`]. Where that is [`Fit::NoSignal`], two components have to gain on one ratio for all cells.
///
/// Source: W. DuMouchel, The American Statistician 53 (1999) 177, for the model and the first start.
///
/// # Errors
/// As [`fit_one_gamma`].
pub fn fit_two_gammas(cells: &[Cell]) -> Result<Fit, StatsError> {
    checked(cells)?;
    let simple = fit_one_gamma(cells)?;
    if cells.len() < FEWEST_CELLS {
        return Ok(simple);
    }
    let stride = cells.len().div_ceil(TRIAL_CELLS);
    let trial = Table::new(cells.iter().copied().step_by(stride));
    let best = STARTS
        .iter()
        .map(|&[a1, b1, a2, b2, p]| [a1.ln(), b1.ln(), a2.ln(), b2.ln(), (p / (1.0 - p)).ln()])
        .map(|start| climb(start, BOUND, 1e-7, |at| trial.likelihood(at)))
        .max_by(|one, two| one.1.total_cmp(&two.1));
    let Some((mut at, mut log_likelihood)) = best else { return Ok(simple) };
    if stride > 1 {
        let whole = Table::new(cells.iter().copied());
        (at, log_likelihood) = climb(at, BOUND, 1e-5, |at| whole.likelihood(at));
    }
    let alone = match simple {
        Fit::OneGamma { log_likelihood, .. } | Fit::TwoGammas { log_likelihood, .. } => log_likelihood,
        Fit::NoSignal => of_one_ratio(cells),
    };
    if log_likelihood <= alone + 1e-6 {
        return Ok(simple);
    }
    let [one, two] = [0, 2].map(|i| Gamma { shape: at[i].exp(), rate: at[i + 1].exp() });
    let weight = 1.0 / (1.0 + (-at[4]).exp());
    let mean = |g: Gamma| g.shape / g.rate;
    let (first, second, weight) =
        if mean(one) >= mean(two) { (one, two, weight) } else { (two, one, 1.0 - weight) };
    Ok(Fit::TwoGammas { first, second, weight, log_likelihood })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cells(counts: impl Iterator<Item = u64>) -> Vec<Cell> {
        counts.map(|count| Cell { count, expected: 5.0 }).collect()
    }

    /// Counts that scatter less than chance would have it: no mixture says more than one ratio for all.
    #[test]
    fn a_table_without_signal_has_none_for_two_components_either() {
        for counts in
            [cells((0..60).map(|_| 5)), cells((0..60).map(|n| 4 + n % 3)), cells((0..60).map(|_| 0))]
        {
            assert_eq!(fit_one_gamma(&counts), Ok(Fit::NoSignal));
            assert_eq!(fit_two_gammas(&counts), Ok(Fit::NoSignal));
        }
    }

    /// By hand: 60 times `5 ln 5 - 5 - ln 120`, which is -1.740302, the logarithm of a Poisson term.
    #[test]
    fn one_ratio_for_all_has_the_likelihood_of_poisson_counts() {
        let of_one = of_one_ratio(&cells((0..60).map(|_| 5)));
        assert!((of_one - 60.0 * -1.740_302).abs() < 1e-4, "{of_one}");
        assert!(of_one_ratio(&cells((0..60).map(|_| 0))).abs() < 1e-9);
    }

    /// Half of the cells with none and half with twice as many as expected.
    #[test]
    fn a_table_of_two_kinds_keeps_its_two_components() {
        let fit = fit_two_gammas(&cells((0..60).map(|n| 10 * (n % 2))));
        assert!(matches!(fit, Ok(Fit::TwoGammas { .. })), "{fit:?}");
    }
}
