//! Shrinking many observed-over-expected ratios towards what the whole table says: gamma-Poisson empirical Bayes.

mod mixture;
mod one_gamma;
mod quasi_newton;
mod table;

pub use mixture::fit_two_gammas;
pub use one_gamma::{fit_one_gamma, pooled_ratio};

use crate::special::digamma::digamma;
use crate::special::gamma::{self, ln_gamma, ln_rising};
use crate::special::{Tails, root};
use crate::value::Confidence;

/// One cell of a table: events counted, and expected if nothing were special about it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cell {
    /// Events counted.
    pub count: u64,
    /// Events expected, finite and above 0.
    pub expected: f64,
}

/// A gamma distribution of true ratios: mean `shape / rate`.
///
/// Both from 1e-300 to 1e12; beyond, a count makes no difference to a shape, and what is asked of it is NaN.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gamma {
    /// Shape.
    pub shape: f64,
    /// Rate (inverse scale).
    pub rate: f64,
}

/// Whether each can be worked with.
fn workable(values: [f64; 3]) -> bool {
    values.iter().all(|value| (1e-300..=1e12).contains(value))
}

/// What a whole table says about the spread of the true ratios.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fit {
    /// The counts scatter no more than chance would have it: nothing stands out, and every ratio is taken as 1.
    NoSignal,
    /// The true ratios follow one gamma distribution.
    OneGamma {
        /// Shape.
        shape: f64,
        /// Rate.
        rate: f64,
        /// Natural logarithm of the likelihood.
        log_likelihood: f64,
    },
    /// The true ratios follow a mixture of two gamma distributions.
    TwoGammas {
        /// The component with the larger mean.
        first: Gamma,
        /// The other one.
        second: Gamma,
        /// Share of the first, from 0 to 1.
        weight: f64,
        /// Natural logarithm of the likelihood.
        log_likelihood: f64,
    },
}

/// What is known about one cell's true ratio after its count and the whole table have been seen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Posterior {
    /// Mean.
    pub mean: f64,
    /// Geometric mean, `exp(E[ln ratio])`: the EBGM score.
    pub geometric_mean: f64,
    /// Lower limit; at a confidence of 90 % the EB05 score.
    pub low: f64,
    /// Upper limit; at a confidence of 90 % the EB95 score.
    pub high: f64,
}

/// Natural logarithm of the chance of a cell's count when its ratio comes from a gamma distribution (negative binomial).
///
/// `lgamma(a+n) - lgamma(a) - lgamma(n+1) + a ln(b/(b+E)) + n ln(E/(b+E))` for shape `a`, rate `b`, count `n`, expected `E`.
/// NaN for a shape, rate or expected count outside 1e-300 to 1e12.
pub fn log_marginal(cell: Cell, prior: Gamma) -> f64 {
    if !workable([cell.expected, prior.shape, prior.rate]) {
        return f64::NAN;
    }
    let n = cell.count as f64;
    // ln (1 + one / two), also where the ratio is too large for a number.
    let ln_share = |one: f64, two: f64| {
        let ratio = one / two;
        if ratio.is_finite() { ratio.ln_1p() } else { one.ln() - two.ln() }
    };
    ln_rising(prior.shape, n)
        - ln_gamma(n + 1.0)
        - prior.shape * ln_share(cell.expected, prior.rate)
        - n * ln_share(prior.rate, cell.expected)
}

/// Natural logarithm of the chance of a cell's count under a fit; without signal that of the Poisson distribution.
pub fn log_likelihood(cell: Cell, fit: &Fit) -> f64 {
    match *fit {
        Fit::NoSignal => {
            let n = cell.count as f64;
            n * cell.expected.ln() - cell.expected - ln_gamma(n + 1.0)
        }
        Fit::OneGamma { shape, rate, .. } => log_marginal(cell, Gamma { shape, rate }),
        Fit::TwoGammas { first, second, weight, .. } => {
            let (one, two) =
                (log_marginal(cell, first) + weight.ln(), log_marginal(cell, second) + (-weight).ln_1p());
            one.max(two) + (-(one - two).abs()).exp().ln_1p()
        }
    }
}

/// Probability that a cell belongs to the first of two components; `None` for other fits.
pub fn share_of_first(cell: Cell, fit: &Fit) -> Option<f64> {
    match fit {
        Fit::TwoGammas { .. } => components(cell, fit).map(|parts| parts[0].share),
        _ => None,
    }
}

/// A gamma component of the posterior and its share.
#[derive(Clone, Copy)]
struct Component {
    share: f64,
    gamma: Gamma,
}

impl Component {
    fn tails(self, ratio: f64) -> Tails {
        gamma::tails(self.gamma.shape, ratio * self.gamma.rate)
    }

    fn quantile(self, wanted: Tails) -> f64 {
        gamma::quantile(self.gamma.shape, wanted) / self.gamma.rate
    }
}

/// The posterior's components: each prior gamma `(a, b)` becomes `(a + n, b + E)`; `None` without signal.
fn components(cell: Cell, fit: &Fit) -> Option<[Component; 2]> {
    let update = |prior: Gamma| {
        if workable([cell.expected, prior.shape, prior.rate]) {
            Gamma { shape: prior.shape + cell.count as f64, rate: prior.rate + cell.expected }
        } else {
            Gamma { shape: f64::NAN, rate: f64::NAN }
        }
    };
    match *fit {
        Fit::NoSignal => None,
        Fit::OneGamma { shape, rate, .. } => {
            let gamma = update(Gamma { shape, rate });
            Some([Component { share: 1.0, gamma }, Component { share: 0.0, gamma }])
        }
        Fit::TwoGammas { first, second, weight, .. } => {
            let odds =
                (log_marginal(cell, first) - log_marginal(cell, second)).exp() * weight / (1.0 - weight);
            let share = if odds.is_infinite() { 1.0 } else { odds / (1.0 + odds) };
            Some([
                Component { share, gamma: update(first) },
                Component { share: 1.0 - share, gamma: update(second) },
            ])
        }
    }
}

/// The posterior of a cell's true ratio, with two-sided limits that leave half the risk on each side.
///
/// Without signal every value is 1. A shape, rate or expected count outside 1e-300 to 1e12 gives NaN.
///
/// Source: W. DuMouchel, The American Statistician 53 (1999) 177.
///
/// ```
/// use stats::{Confidence, shrinkage::{Cell, Fit, Gamma, posterior}};
/// let fit = Fit::TwoGammas {
///     first: Gamma { shape: 0.204, rate: 0.058 },
///     second: Gamma { shape: 1.415, rate: 1.838 },
///     weight: 0.097,
///     log_likelihood: 0.0,
/// };
/// let seen = posterior(Cell { count: 10, expected: 2.0 }, &fit, Confidence::NINETY);
/// assert!((seen.geometric_mean - 3.6021).abs() < 5e-5 && (seen.low - 1.8748).abs() < 5e-5);
/// ```
pub fn posterior(cell: Cell, fit: &Fit, confidence: Confidence) -> Posterior {
    let Some(parts) = components(cell, fit) else {
        return Posterior { mean: 1.0, geometric_mean: 1.0, low: 1.0, high: 1.0 };
    };
    let weigh = |f: fn(Gamma) -> f64| {
        parts.iter().filter(|c| c.share != 0.0).map(|c| c.share * f(c.gamma)).sum::<f64>()
    };
    let risk = confidence.half_risk();
    Posterior {
        mean: weigh(|g| g.shape / g.rate),
        geometric_mean: weigh(|g| digamma(g.shape) - g.rate.ln()).exp(),
        low: quantile(parts, Tails::from_lower(risk)),
        high: quantile(parts, Tails::from_upper(risk)),
    }
}

/// Quantile of the mixture, which lies between those of its components.
fn quantile(parts: [Component; 2], wanted: Tails) -> f64 {
    let [one, two] = parts.map(|part| part.quantile(wanted));
    if one.is_nan() || two.is_nan() {
        return f64::NAN;
    }
    if parts[1].share == 0.0 || one == two {
        return one;
    }
    if parts[0].share == 0.0 || !(one > 0.0 && two > 0.0) {
        return two;
    }
    let gap = |log: f64| {
        let ratio = log.exp();
        let mix = |pick: fn(Tails) -> f64| parts.iter().map(|c| c.share * pick(c.tails(ratio))).sum::<f64>();
        if wanted.lower < wanted.upper {
            (mix(|t| t.lower) / wanted.lower).ln()
        } else {
            (wanted.upper / mix(|t| t.upper)).ln()
        }
    };
    let (low, high) = (one.min(two).ln(), one.max(two).ln());
    root::bracketed((low, gap(low)), (high, gap(high)), gap).exp()
}

/// Probability that a cell's true ratio is above a given one.
///
/// ```
/// use stats::shrinkage::{Cell, Fit, probability_above};
/// let fit = Fit::OneGamma { shape: 1.0, rate: 1.0, log_likelihood: 0.0 };
/// let chance = probability_above(Cell { count: 0, expected: 0.5 }, &fit, 1.0);
/// assert!((chance - (-1.5_f64).exp()).abs() < 1e-15);
/// ```
pub fn probability_above(cell: Cell, fit: &Fit, ratio: f64) -> f64 {
    match components(cell, fit) {
        None => f64::from(u8::from(ratio < 1.0)),
        Some(parts) => parts.iter().map(|c| c.share * c.tails(ratio).upper).sum(),
    }
}
