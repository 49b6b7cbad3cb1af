//! The distribution of the events after a change, given every stratum's total, for any common ratio.

use super::Stratum;
use crate::error::StatsError;
use crate::special::beta::{Split, binomial_term};
use crate::special::{Tails, root};

/// Chances this much below the largest are left out; limits at any confidence in use lie far inside.
const NEGLIGIBLE: f64 = 1e-120;
const MOST_EVENTS: u64 = 200_000;

/// A run of chances for the counts `first`, `first + 1`, and so on.
struct Run {
    first: u64,
    chances: Vec<f64>,
}

/// The sum of the counts after, at a reference ratio from which every other ratio follows by tilting.
pub(super) struct Conditional {
    run: Run,
    reference: f64,
    observed: u64,
    total: u64,
}

impl Conditional {
    /// Works the distribution out at the most likely ratio.
    pub(super) fn new(strata: &[Stratum]) -> Result<Self, StatsError> {
        let observed = strata.iter().fold(0_u64, |sum, s| sum.saturating_add(s.after_count));
        let total = strata.iter().fold(observed, |sum, s| sum.saturating_add(s.before_count));
        if total > MOST_EVENTS {
            let (what, accepted) =
                ("number of events", "at most 200,000; use the Mantel-Haenszel ratio for more");
            return Err(StatsError::OutOfRange { what, value: total as f64, accepted });
        }
        // At an end of the range half an event stands in, which only places the reference.
        let target = (observed as f64).clamp(0.5, total as f64 - 0.5);
        let reference = most_likely(strata, target);
        let mut run = Run { first: 0, chances: vec![1.0] };
        for s in strata {
            let share = Split::from_odds(reference * (s.after_exposure / s.before_exposure));
            run = convolve(&run, &binomial(s.before_count + s.after_count, share));
        }
        Ok(Self { run, reference, observed, total })
    }

    pub(super) fn estimate(&self) -> f64 {
        if self.observed == 0 {
            0.0
        } else if self.observed == self.total {
            f64::INFINITY
        } else {
            self.reference
        }
    }

    /// Chances of a sum below and above the observed one at a ratio, each with `weight` of the observed sum's own.
    pub(super) fn tails(&self, ratio: f64, weight: f64) -> Tails {
        let tilt = (ratio / self.reference).ln();
        let (mut below, mut here, mut above) = (0.0, 0.0, 0.0);
        // Powers are taken about the observed sum, so that its own weight never vanishes.
        for (k, chance) in (self.run.first..).zip(&self.run.chances) {
            let away = k as f64 - self.observed as f64;
            let weighted = chance * (tilt * away).exp();
            match k.cmp(&self.observed) {
                std::cmp::Ordering::Less => below += weighted,
                std::cmp::Ordering::Equal => here += weighted,
                std::cmp::Ordering::Greater => above += weighted,
            }
        }
        let all = below + here + above;
        let share = |part: f64| if all.is_finite() { (part + weight * here) / all } else { 0.0 };
        Tails { lower: share(below), upper: share(above) }
    }

    /// The ratio at which a sum as large as the observed one has the given probability; 0 without events after.
    pub(super) fn low(&self, risk: f64, weight: f64) -> f64 {
        if self.observed == 0 {
            return 0.0;
        }
        self.root(|log| (self.tails(log.exp(), weight).upper.max(1e-300) / risk).ln())
    }

    /// The ratio at which a sum as small as the observed one has the given probability; infinite without any before.
    pub(super) fn high(&self, risk: f64, weight: f64) -> f64 {
        if self.observed == self.total {
            return f64::INFINITY;
        }
        self.root(|log| (risk / self.tails(log.exp(), weight).lower.max(1e-300)).ln())
    }

    /// The ratio at whose logarithm a rising function is 0.
    fn root(&self, f: impl Fn(f64) -> f64) -> f64 {
        let centre = self.reference.ln();
        root::widened(centre, 0.5, f).exp()
    }
}

/// The ratio at which the expected sum equals the target.
fn most_likely(strata: &[Stratum], target: f64) -> f64 {
    let (before, after) =
        strata.iter().fold((0.0, 0.0), |(b, a), s| (b + s.before_exposure, a + s.after_exposure));
    let total: f64 = strata.iter().map(|s| (s.before_count + s.after_count) as f64).sum();
    let start = (target / (total - target) * (before / after)).ln();
    let excess = |log: f64| {
        let expected = |s: &Stratum| {
            let share = Split::from_odds(log.exp() * (s.after_exposure / s.before_exposure));
            (s.before_count + s.after_count) as f64 * share.x
        };
        strata.iter().map(expected).sum::<f64>() - target
    };
    root::widened(start, 0.5, excess).exp()
}

/// Binomial chances, worked outwards from the mode and cut where negligible.
fn binomial(n: u64, share: Split) -> Run {
    let trials = n as f64;
    let odds = share.x / share.y;
    let mode = ((trials + 1.0) * share.x).min(trials).floor();
    let peak = binomial_term(mode, trials, share.x, share.y);
    let mut below = Vec::new();
    let (mut k, mut chance) = (mode, peak);
    while k > 0.0 && chance > peak * NEGLIGIBLE {
        chance *= k / ((trials - k + 1.0) * odds);
        k -= 1.0;
        below.push(chance);
    }
    let first = k as u64;
    below.reverse();
    let mut chances = below;
    chances.push(peak);
    let (mut k, mut chance) = (mode, peak);
    while k < trials && chance > peak * NEGLIGIBLE {
        chance *= (trials - k) * odds / (k + 1.0);
        k += 1.0;
        chances.push(chance);
    }
    Run { first, chances }
}

/// Distribution of the sum of two counts; all parts are positive, so that no digits are lost.
fn convolve(one: &Run, two: &Run) -> Run {
    let mut chances = vec![0.0; one.chances.len() + two.chances.len() - 1];
    for (i, a) in one.chances.iter().enumerate() {
        for (sum, b) in chances[i..].iter_mut().zip(&two.chances) {
            *sum += a * b;
        }
    }
    let peak = chances.iter().copied().fold(0.0, f64::max);
    let keep = |chance: &f64| *chance > peak * NEGLIGIBLE;
    let start = chances.iter().position(keep).unwrap_or(0);
    let end = chances.iter().rposition(keep).map_or(chances.len(), |last| last + 1);
    Run { first: one.first + two.first + start as u64, chances: chances[start..end].to_vec() }
}
