//! Random quantities from a source of uniform 64-bit numbers.

use crate::special::{Tails, normal};

/// A number strictly between 0 and 1.
pub(crate) fn uniform(draw: &mut impl FnMut() -> u64) -> f64 {
    ((draw() >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
}

/// A standard normal number.
pub(crate) fn gaussian(draw: &mut impl FnMut() -> u64) -> f64 {
    normal::quantile(Tails::from_lower(uniform(draw)))
}

/// How many of `n` succeed, each with probability `p`; takes time in proportion to the rarer outcome.
///
/// The trials up to the next rare outcome are geometric, so that the common ones are skipped.
pub(crate) fn binomial(n: u64, p: f64, draw: &mut impl FnMut() -> u64) -> u64 {
    if p > 0.5 {
        return n - binomial(n, 1.0 - p, draw);
    }
    if p <= 0.0 {
        return 0;
    }
    let per_trial = (-p).ln_1p();
    let (mut left, mut found) = (n as f64, 0);
    loop {
        left -= (uniform(draw).ln() / per_trial).floor() + 1.0;
        if left < 0.0 {
            return found;
        }
        found += 1;
    }
}
