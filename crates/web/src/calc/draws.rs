//! Seeded draws for methods that simulate: the same seed gives the same answer.

use rand_chacha::ChaCha12Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};

use super::input::Count;

/// A stream of uniform 64-bit numbers.
pub(super) struct Draws(ChaCha12Rng);

impl Draws {
    /// The stream of a seed, 1 where none is given.
    pub(super) fn new(seed: Option<Count>) -> Self {
        Self(ChaCha12Rng::seed_from_u64(seed.map_or(1, |seed| seed.0)))
    }

    /// The next number.
    pub(super) fn next(&mut self) -> u64 {
        self.0.next_u64()
    }
}
