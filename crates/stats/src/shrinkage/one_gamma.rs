//! Fitting one gamma distribution of true ratios to a table.

use super::{Cell, Fit, Gamma, log_marginal};
use crate::error::{StatsError, positive};
use crate::special::digamma::{digamma, trigamma};

/// Shapes above this leave the ratios no room to differ: the table shows no signal.
const LARGEST_SHAPE: f64 = 1e6;

/// Refuses a table with a cell that cannot be.
pub(super) fn checked(cells: &[Cell]) -> Result<(), StatsError> {
    if cells.is_empty() {
        return Err(StatsError::TooFew { what: "cells", given: 0, needed: 1 });
    }
    for (index, cell) in cells.iter().enumerate() {
        positive("expected count", cell.expected).map_err(|_| StatsError::ItemOutOfRange {
            what: "expected count",
            index,
            value: cell.expected,
            accepted: "a finite number above 0",
        })?;
    }
    Ok(())
}

/// All events over all expected: the ratio of the table as a whole.
///
/// # Errors
/// As [`fit_one_gamma`].
pub fn pooled_ratio(cells: &[Cell]) -> Result<f64, StatsError> {
    checked(cells)?;
    let (count, expected) = sums(cells);
    Ok(count / expected)
}

fn sums(cells: &[Cell]) -> (f64, f64) {
    cells.iter().fold((0.0, 0.0), |(n, e), cell| (n + cell.count as f64, e + cell.expected))
}

/// Fits one gamma distribution of true ratios by maximum likelihood.
///
/// `n ~ Poisson(ratio x E)`, `ratio ~ Gamma(shape, rate)`. [`Fit::NoSignal`] when the counts scatter no more than
/// Poisson counts would (`sum((n - m E)^2) <= sum(n)` at the pooled ratio `m`), where the likelihood rises all the way
/// to an infinite shape. Newton's method on the logarithms of shape and mean.
///
/// # Errors
/// [`StatsError::TooFew`] for no cells, [`StatsError::ItemOutOfRange`] for an expected count that is not finite and
/// above 0.
///
/// ```
/// use stats::shrinkage::{Cell, Fit, fit_one_gamma};
/// // Gaver & O'Muircheartaigh (1987): failures of ten pumps, thousand hours.
/// let hours = [94.32, 15.72, 62.88, 125.76, 5.24, 31.44, 1.048, 1.048, 2.096, 10.48];
/// let failures = [5, 1, 5, 14, 3, 19, 1, 1, 4, 22];
/// let cells: Vec<_> = failures.iter().zip(hours).map(|(&count, expected)| Cell { count, expected }).collect();
/// let Ok(Fit::OneGamma { shape, rate, .. }) = fit_one_gamma(&cells) else { panic!() };
/// assert!((shape - 0.8223).abs() < 5e-5 && (rate - 1.2590).abs() < 5e-5);
/// ```
pub fn fit_one_gamma(cells: &[Cell]) -> Result<Fit, StatsError> {
    checked(cells)?;
    let (count, expected) = sums(cells);
    let mean = count / expected;
    let excess: f64 =
        cells.iter().map(|c| (c.count as f64 - mean * c.expected).powi(2) - c.count as f64).sum();
    if count == 0.0 || excess <= 0.0 {
        return Ok(Fit::NoSignal);
    }
    let squares: f64 = cells.iter().map(|c| c.expected * c.expected).sum();
    let start = (mean * mean * squares / excess).clamp(1e-2, 1e4);
    Ok(climb(cells, start.ln(), mean.ln()))
}

/// Newton's method on `ln shape` and `ln mean`, halving a step that does not rise.
fn climb(cells: &[Cell], ln_shape: f64, ln_mean: f64) -> Fit {
    let likelihood = |u: f64, w: f64| -> f64 {
        let prior = Gamma { shape: u.exp(), rate: (u - w).exp() };
        cells.iter().map(|&cell| log_marginal(cell, prior)).sum()
    };
    let (mut u, mut w) = (ln_shape, ln_mean);
    let mut value = likelihood(u, w);
    for _ in 0..100 {
        let (step_u, step_w) = newton_step(cells, u, w);
        let mut share = 1.0;
        let risen = loop {
            let next = likelihood(u + share * step_u, w + share * step_w);
            if next >= value {
                break Some(next);
            }
            share *= 0.5;
            if share < 1e-6 {
                break None;
            }
        };
        let Some(next) = risen else { break };
        u += share * step_u;
        w += share * step_w;
        value = next;
        if u.exp() > LARGEST_SHAPE {
            return Fit::NoSignal;
        }
        if step_u.abs().max(step_w.abs()) < 1e-10 {
            break;
        }
    }
    Fit::OneGamma { shape: u.exp(), rate: (u - w).exp(), log_likelihood: value }
}

/// The Newton step in `(ln shape, ln mean)`, or a step uphill where the surface does not bend down.
fn newton_step(cells: &[Cell], u: f64, w: f64) -> (f64, f64) {
    let (a, b) = (u.exp(), (u - w).exp());
    let (psi, psi1) = (digamma(a), trigamma(a));
    // Slopes and bends in shape a and rate b.
    let (mut da, mut db, mut daa, mut dab, mut dbb) = (0.0, 0.0, 0.0, 0.0, 0.0);
    for cell in cells {
        let (n, e) = (cell.count as f64, cell.expected);
        let sum = b + e;
        da += digamma(a + n) - psi - (e / b).ln_1p();
        db += a * e / (b * sum) - n / sum;
        daa += trigamma(a + n) - psi1;
        dab += e / (b * sum);
        dbb += n / (sum * sum) - a * e * (2.0 * b + e) / (b * sum * b * sum);
    }
    // In logarithms, with b = a / mean.
    let (gu, gv) = (a * da, b * db);
    let (huu, huv, hvv) = (a * a * daa + gu, a * b * dab, b * b * dbb + gv);
    let (slope_u, slope_w) = (gu + gv, -gv);
    let (bend_uu, bend_uw, bend_ww) = (huu + 2.0 * huv + hvv, -(huv + hvv), hvv);
    let det = bend_uu * bend_ww - bend_uw * bend_uw;
    if bend_uu < 0.0 && det > 0.0 {
        let step_u = -(bend_ww * slope_u - bend_uw * slope_w) / det;
        let step_w = -(bend_uu * slope_w - bend_uw * slope_u) / det;
        (step_u.clamp(-2.0, 2.0), step_w.clamp(-2.0, 2.0))
    } else {
        (slope_u.clamp(-0.5, 0.5), slope_w.clamp(-0.5, 0.5))
    }
}
