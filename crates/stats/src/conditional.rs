//! Limits for a binomial chance, kept as a share and its rest so that odds and ratios lose no digits.

use crate::special::Tails;
use crate::special::beta::{self, Split, split_term};
use crate::special::root::{self, Shape};

const NONE: Split = Split { x: 0.0, y: 1.0 };
const ALL: Split = Split { x: 1.0, y: 0.0 };

/// Chance at which `x` or more of `x + rest` has probability `risk`; 0 for `x = 0`.
pub(crate) fn exact_low(x: u64, rest: u64, risk: f64) -> Split {
    if x == 0 { NONE } else { beta::quantile(x as f64, rest as f64 + 1.0, Tails::from_lower(risk)) }
}

/// Chance at which `x` or fewer of `x + rest` has probability `risk`; 1 for `rest = 0`.
pub(crate) fn exact_high(x: u64, rest: u64, risk: f64) -> Split {
    if rest == 0 { ALL } else { beta::quantile(x as f64 + 1.0, rest as f64, Tails::from_upper(risk)) }
}

/// Chance at which more than `x`, and half of exactly `x`, has probability `risk`; 0 for `x = 0`.
pub(crate) fn mid_p_low(x: u64, rest: u64, risk: f64) -> Split {
    if x == 0 { NONE } else { mid_p(x as f64, rest as f64, Tails::from_lower(risk)) }
}

/// Chance at which fewer than `x`, and half of exactly `x`, has probability `risk`; 1 for `rest = 0`.
pub(crate) fn mid_p_high(x: u64, rest: u64, risk: f64) -> Split {
    if rest == 0 { ALL } else { mid_p(x as f64, rest as f64, Tails::from_upper(risk)) }
}

/// Both mid-P tails of `k` in `k + rest` trials at a chance: above `k` with half of `k`, below `k` with half of `k`.
pub(crate) fn mid_p_tails(k: f64, rest: f64, at: Split) -> Tails {
    let half = 0.5 * split_term(k, rest, at.x, at.y);
    let above = if rest == 0.0 { 0.0 } else { beta::tails(k + 1.0, rest, at.x, at.y).lower };
    let below = if k == 0.0 { 0.0 } else { beta::tails(k, rest + 1.0, at.x, at.y).upper };
    Tails { lower: above + half, upper: below + half }
}

/// The chance with the wanted mid-P tails, started at the beta quantile half a count away, which is very near.
fn mid_p(k: f64, rest: f64, wanted: Tails) -> Split {
    let n = k + rest;
    let start = beta::quantile(k + 0.5, rest + 0.5, wanted);
    let left = wanted.lower <= wanted.upper;
    // At an end the observed outcome's half is all there is, and a large risk may already be met there.
    if (rest == 0.0 && wanted.lower >= 0.5) || (k == 0.0 && wanted.upper >= 0.5) {
        return if k == 0.0 { NONE } else { ALL };
    }
    let odds = start.x / start.y;
    let change = root::find(0.0, |change| {
        let at = Split::from_odds(odds * change.exp());
        let scale = 1.0 / (n * at.x * at.y).sqrt().max(1.0);
        let tails = mid_p_tails(k, rest, at);
        // Slope of the lower one in the logit: term/2 * (rest x + k y).
        let weight = rest * at.x + k * at.y;
        let slope = 0.5 * split_term(k, rest, at.x, at.y) * weight;
        let bend = k * at.y - rest * at.x + (rest - k) * at.x * at.y / weight;
        if left {
            let slope = slope / tails.lower;
            Shape { value: (tails.lower / wanted.lower).ln(), slope, bend: bend - slope, scale }
        } else {
            let slope = slope / tails.upper;
            Shape { value: (wanted.upper / tails.upper).ln(), slope, bend: bend + slope, scale }
        }
    });
    Split::from_odds(odds * change.exp())
}
