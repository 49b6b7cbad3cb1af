//! Brings lives into order and merges equal ones.
//!
//! Sorted are whole numbers that hold a life's place to some 50 bits and its index; they are dealt into about as many boxes
//! as there are lives before anything is compared. Lives alike to all those bits are then looked at themselves.

use super::{End, Life};
use crate::dealing;

/// Below this many lives dealing costs more than it saves.
const FEW: usize = 64;

/// Place of a life's kind among kinds.
pub(super) fn kind(life: &Life) -> usize {
    first_age(life).0
}

/// Kind and first age of a life.
fn first_age(life: &Life) -> (usize, f64) {
    match life.end {
        End::Failed(age) => (0, age),
        End::Survived(age) => (1, age),
        End::FailedBefore(age) => (2, age),
        End::FailedBetween(low, _) => (3, low),
    }
}

/// Kind and ages as whole numbers in the same order, since those are compared in one go.
///
/// The bits of numbers above 0 rise as the numbers do; adding 0 takes the sign off a negative 0.
fn key(life: &Life) -> (usize, u64, u64, u64) {
    let (kind, low) = first_age(life);
    (kind, low.to_bits(), life.last_age().to_bits(), (life.entry + 0.0).to_bits())
}

/// Sorts lives by kind, then by rising ages, then by rising entry, and merges equal ones.
///
/// They are moved within the list: fresh memory for them would cost more time than the sorting.
pub(super) fn arrange(lives: &mut Vec<Life>) {
    if lives.len() < FEW || u32::try_from(lives.len()).is_err() {
        lives.sort_by_key(key);
    } else {
        let packing = Packing::new(lives);
        let sources = packing.sorted(lives);
        rearrange(lives, sources, &packing);
    }
    lives.dedup_by(merge);
}

/// Moves to each place the life whose index stands there, round by round.
fn rearrange(lives: &mut [Life], mut sources: Vec<u64>, packing: &Packing) {
    for start in 0..lives.len() {
        let mut source = packing.index(sources[start]);
        if source == start {
            continue;
        }
        let (first, mut place) = (lives[start], start);
        while source != start {
            lives[place] = lives[source];
            sources[place] = place as u64;
            (place, source) = (source, packing.index(sources[source]));
        }
        lives[place] = first;
        sources[place] = place as u64;
    }
}

/// Adds a life to an equal one before it and says whether it did.
fn merge(next: &mut Life, first: &mut Life) -> bool {
    let same = next.end == first.end && next.entry == first.entry;
    if same {
        first.weight += next.weight;
    }
    same
}

/// How a life becomes a number: from the left the rank of its kind, how far its age lies between the least and the most
/// there are, and its index.
struct Packing {
    rank: [u64; 4],
    kind_bits: u32,
    least: f64,
    scale: f64,
    age_bits: u32,
    index_bits: u32,
}

impl Packing {
    fn new(lives: &[Life]) -> Self {
        let (mut least, mut most, mut kinds) = (f64::INFINITY, 0.0_f64, 0_u32);
        for life in lives {
            let (kind, low) = first_age(life);
            least = if low < least { low } else { least };
            most = if low > most { low } else { most };
            kinds |= 1 << kind;
        }
        let index_bits = usize::BITS - (lives.len() - 1).leading_zeros();
        let age_bits = (u64::BITS - 2 - index_bits).min(f64::MANTISSA_DIGITS);
        Self {
            rank: [0, 1, 2, 3].map(|kind| u64::from((kinds & ((1 << kind) - 1)).count_ones())),
            kind_bits: u32::BITS - (kinds.count_ones() - 1).leading_zeros(),
            least,
            scale: ((1_u64 << age_bits) - 1) as f64 / (most - least),
            age_bits,
            index_bits,
        }
    }

    fn number(&self, life: &Life, index: u64) -> u64 {
        let (kind, low) = first_age(life);
        let steps = (((low - self.least) * self.scale) as u64).min((1 << self.age_bits) - 1);
        (self.rank[kind] << self.age_bits | steps) << self.index_bits | index
    }

    fn index(&self, number: u64) -> usize {
        (number & ((1 << self.index_bits) - 1)) as usize
    }

    /// The numbers of lives in order, those alike but for their index by all that a life has.
    fn sorted(&self, lives: &[Life]) -> Vec<u64> {
        let numbers = lives.iter().zip(0..).map(|(life, index)| self.number(life, index)).collect();
        let mut sorted =
            dealing::sorted(numbers, self.kind_bits + self.age_bits + self.index_bits, self.index_bits);
        for alike in sorted.chunk_by_mut(|one, two| one >> self.index_bits == two >> self.index_bits) {
            if alike.len() > 1 {
                alike.sort_by_key(|&number| key(&lives[self.index(number)]));
            }
        }
        sorted
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::cmp::Ordering;

    /// Lives of all kinds with ages made from whole numbers that look drawn.
    fn lives(count: u64, age: impl Fn(u64) -> f64) -> Vec<Life> {
        let mut state = 7_u64;
        let mut drawn = || {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            state >> 33
        };
        let life = |_| {
            let (from, more, kind) = (age(drawn()), age(drawn()), drawn());
            match kind % 5 {
                0 => Life::failed(from),
                1 => Life::survived(from),
                2 => Life::failed_before(from),
                3 => Life::failed_between(from, from + more),
                _ => Life::failed(from + more).watched_from(from),
            }
        };
        (0..count).map(life).collect()
    }

    fn assert_arranged(given: Vec<Life>) {
        let mut arranged = given.clone();
        arrange(&mut arranged);
        assert!(arranged.is_sorted_by(|one, two| key(one).cmp(&key(two)) == Ordering::Less));
        let mut plain = given;
        plain.sort_by_key(key);
        plain.dedup_by(merge);
        assert_eq!(arranged, plain);
    }

    #[test]
    fn dealt_lives_come_out_as_plainly_sorted_ones() {
        for count in [1, FEW as u64 - 1, FEW as u64, 65, 1000, 5000] {
            assert_arranged(lives(count, |n| 1.0 + n as f64));
            assert_arranged(lives(count, |n| 1.0 + (n % 52) as f64));
            assert_arranged(lives(count, |_| 3.0));
        }
    }

    #[test]
    fn ages_far_apart_and_next_to_each_other_are_told_apart() {
        assert_arranged(lives(2000, |n| if n % 997 == 0 { 1e300 } else { 1.0 + n as f64 * 1e-9 }));
        assert_arranged(lives(2000, |n| f64::from_bits(1 + n % 300)));
        assert_arranged(lives(2000, |n| f64::from_bits(1.0_f64.to_bits() + n % 300)));
        assert_arranged(lives(2000, |n| 10.0_f64.powi((n % 600) as i32 - 300)));
    }
}
