//! Seeded draws for an invented world: the same seed gives the same world.

use rand_chacha::ChaCha12Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};

/// One stream of draws. Each concern has its own, so that a longer narrative moves no failure.
pub(super) struct Dice(ChaCha12Rng);

impl Dice {
    /// The stream `stream` of the world `seed`.
    pub(super) fn new(seed: u64, stream: u64) -> Self {
        let mut generator = ChaCha12Rng::seed_from_u64(seed);
        generator.set_stream(stream);
        Self(generator)
    }

    /// Uniform on [0, 1), 53 bits.
    pub(super) fn unit(&mut self) -> f64 {
        (self.0.next_u64() >> 11) as f64 / 9_007_199_254_740_992.0
    }

    /// Uniform on [low, high).
    pub(super) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// A whole number below `n`; 0 where `n` is 0.
    pub(super) fn below(&mut self, n: usize) -> usize {
        (self.unit() * n as f64) as usize
    }

    /// A whole number of days from `low` to `high`, both included.
    pub(super) fn days(&mut self, low: i32, high: i32) -> i32 {
        low + super::calendar::days(self.below((high - low + 1).max(1) as usize))
    }

    /// True with probability `p`.
    pub(super) fn chance(&mut self, p: f64) -> bool {
        self.unit() < p
    }

    /// Exponential with mean 1.
    pub(super) fn exponential(&mut self) -> f64 {
        -(1.0 - self.unit()).ln()
    }

    /// Standard normal by the polar form's parent, Box and Muller (1958).
    pub(super) fn normal(&mut self) -> f64 {
        let radius = (2.0 * self.exponential()).sqrt();
        radius * (std::f64::consts::TAU * self.unit()).cos()
    }

    /// Poisson: by inversion below 30, from there by the rounded normal, which is close enough for a scenario.
    pub(super) fn poisson(&mut self, mean: f64) -> u32 {
        if mean <= 0.0 {
            return 0;
        }
        if mean > 30.0 {
            return (mean + mean.sqrt() * self.normal()).round().max(0.0) as u32;
        }
        let draw = self.unit();
        let (mut count, mut term) = (0, (-mean).exp());
        let mut reached = term;
        while draw >= reached && count < 200 {
            count += 1;
            term *= mean / f64::from(count);
            reached += term;
        }
        count
    }

    /// One of `choices`, which is never empty.
    pub(super) fn pick<'a, T>(&mut self, choices: &'a [T]) -> &'a T {
        &choices[self.below(choices.len())]
    }

    /// The place of one of `weights`, each as likely as it is heavy.
    pub(super) fn weighted(&mut self, weights: &[f64]) -> usize {
        let mut left = self.unit() * weights.iter().sum::<f64>();
        for (place, weight) in weights.iter().enumerate() {
            left -= weight;
            if left < 0.0 {
                return place;
            }
        }
        weights.len().saturating_sub(1)
    }

    /// Brings `count` of `list` to its front in random order.
    pub(super) fn bring_forward<T>(&mut self, list: &mut [T], count: usize) {
        for place in 0..count.min(list.len()) {
            let other = place + self.below(list.len() - place);
            list.swap(place, other);
        }
    }
}

/// Draws `n` factors with mean `mean` whose coefficient of variation is `cv` as exactly as `cap` allows.
pub(super) fn spread(dice: &mut Dice, n: usize, mean: f64, cv: f64, cap: f64) -> Vec<f64> {
    let scores: Vec<f64> = (0..n).map(|_| dice.normal()).collect();
    let mut sigma = cv;
    let mut factors = Vec::new();
    // The sample's own spread is matched, because a handful of units drawn at random can come out nearly alike.
    for _ in 0..60 {
        factors = scores.iter().map(|z| (sigma * z).exp()).collect();
        let centre = mean_of(&factors);
        for factor in &mut factors {
            *factor = (*factor * mean / centre).min(cap);
        }
        let reached = deviation_of(&factors) / mean_of(&factors);
        if (reached - cv).abs() < 1e-3 || n < 2 {
            break;
        }
        sigma *= (cv / reached.max(1e-6)).clamp(0.7, 1.4);
    }
    factors
}

/// The mean of a list that is not empty.
pub(super) fn mean_of(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len().max(1) as f64
}

/// The standard deviation about the mean.
pub(super) fn deviation_of(values: &[f64]) -> f64 {
    let centre = mean_of(values);
    (values.iter().map(|v| (v - centre).powi(2)).sum::<f64>() / values.len().max(1) as f64).sqrt()
}
