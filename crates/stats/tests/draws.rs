//! Seeded draws for simulations.

use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// A source of draws that is the same in every run.
pub(crate) fn seeded(seed: u64) -> impl FnMut() -> u64 {
    let mut source = ChaCha8Rng::seed_from_u64(seed);
    move || source.next_u64()
}

/// Uniform above 0 and below 1.
pub(crate) fn uniform(draw: &mut impl FnMut() -> u64) -> f64 {
    ((draw() >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
}

/// A Poisson count: products of uniforms for small means, halves by the beta rule for large ones kept simple here by
/// adding independent parts.
pub(crate) fn poisson(mean: f64, draw: &mut impl FnMut() -> u64) -> u64 {
    let mut left = mean;
    let mut total = 0;
    while left > 0.0 {
        let part = left.min(16.0);
        left -= part;
        let (floor, mut product) = ((-part).exp(), uniform(draw));
        while product > floor {
            total += 1;
            product *= uniform(draw);
        }
    }
    total
}
