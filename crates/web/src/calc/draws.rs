//! Seeded draws for methods that simulate: the same seed gives the same answer.

use rand_chacha::ChaCha12Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};

use super::input::Count;

/// A stream of uniform 64-bit numbers.
pub(crate) struct Draws(ChaCha12Rng);

impl Draws {
    /// The stream of a seed, 1 where none is given.
    pub(super) fn new(seed: Option<Count>) -> Self {
        Self::seeded(seed.map_or(1, |seed| seed.0))
    }

    /// The stream of a seed.
    pub(crate) fn seeded(seed: u64) -> Self {
        Self(ChaCha12Rng::seed_from_u64(seed))
    }

    /// The next number.
    pub(crate) fn next(&mut self) -> u64 {
        self.0.next_u64()
    }
}
