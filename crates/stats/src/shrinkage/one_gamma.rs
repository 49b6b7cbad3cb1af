//! Fitting one gamma distribution of true ratios to a table.

use super::table::Table;
use super::{Cell, Fit};
use crate::error::StatsError;
use crate::special::digamma::{digamma, trigamma};
use crate::special::gamma::ln_rising;

/// Shapes above this leave the ratios no room to differ: the table shows no signal.
const LARGEST_SHAPE: f64 = 1e6;

/// Refuses a table with a cell that cannot be.
pub(super) fn checked(cells: &[Cell]) -> Result<(), StatsError> {
    if cells.is_empty() {
        return Err(StatsError::TooFew { what: "cells", given: 0, needed: 1 });
    }
    for (index, cell) in cells.iter().enumerate() {
        let value = cell.expected;
        if !(1e-9..=1e12).contains(&value) {
            let accepted = "from 1e-9 to 1e12";
            return Err(StatsError::ItemOutOfRange { what: "expected count", index, value, accepted });
        }
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
/// [`StatsError::TooFew`] for no cells, [`StatsError::ItemOutOfRange`] for an expected count outside 1e-9 to 1e12.
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
    Ok(climb(&Table::new(cells.iter().copied()), start.ln(), mean.ln()))
}

/// Newton's method on `ln shape` and `ln mean`, halving a step that does not rise.
fn climb(table: &Table, ln_shape: f64, ln_mean: f64) -> Fit {
    let likelihood = |u: f64, w: f64| -> f64 {
        let (a, b) = (u.exp(), (u - w).exp());
        let rising: Vec<_> = table.counts.iter().map(|&n| ln_rising(a, n) - n * (u - w)).collect();
        let part = |&(place, e): &(usize, f64)| rising[place] - (a + table.counts[place]) * (e / b).ln_1p();
        table.constant + table.cells.iter().map(part).sum::<f64>()
    };
    let (mut u, mut w) = (ln_shape, ln_mean);
    let mut value = likelihood(u, w);
    for _ in 0..100 {
        let (step_u, step_w) = newton_step(table, u, w);
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
fn newton_step(table: &Table, u: f64, w: f64) -> (f64, f64) {
    let (a, b) = (u.exp(), (u - w).exp());
    let (psi, psi1) = (digamma(a), trigamma(a));
    let growth: Vec<_> =
        table.counts.iter().map(|&n| (digamma(a + n) - psi, trigamma(a + n) - psi1)).collect();
    // Slopes and bends in shape a and rate b.
    let (mut da, mut db, mut daa, mut dab, mut dbb) = (0.0, 0.0, 0.0, 0.0, 0.0);
    for &(place, e) in &table.cells {
        let (n, sum) = (table.counts[place], b + e);
        da += growth[place].0 - (e / b).ln_1p();
        db += a * e / (b * sum) - n / sum;
        daa += growth[place].1;
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
