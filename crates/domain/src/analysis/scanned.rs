//! Everything that was looked at, and how many false flags a bar of evidence would let through.
//!
//! A level can be flagged only with three reports or more and a ratio above 1.5, and most levels expect a fraction of a
//! report: the chance that one of those passes by luck is far below that of a level of which much is expected. The bar is
//! therefore one of evidence, and what it lets through is summed over the levels, each by its own distribution.
//!
//! Source: the step-up procedure of Y. Benjamini & Y. Hochberg, J. R. Stat. Soc. B 57 (1995) 289, in the form for discrete and unlike tests
//! of S. Döhler, G. Durand & E. Roquain, Electron. J. Stat. 12 (2018) 1867.

use std::collections::{BTreeMap, BTreeSet};

use rayon::prelude::*;
use stats::excess::Usual;

use super::factor::FactorLevel;
use super::lot_lines::{RATIO_WORTH_A_FLAG, REPORTS_WORTH_A_FLAG};

/// Levels alike in expectation and in how well it is known are counted together: bins of the logarithm.
const BINS_OF_EXPECTED: f64 = 10.0;
const BINS_OF_SHAPE: f64 = 2.0;
/// Steps of the logarithm of evidence at which the sum is worked out.
const STEP: f64 = 0.2;

/// Levels looked at.
#[derive(Clone, Debug, Default)]
pub(super) struct Scanned(BTreeMap<(Prior, i32, i32), f64>);

/// How likely a level of a factor is to be worse, beforehand: upstream lots are what is made wrong, and what else stands
/// out mostly follows from them.
///
/// Source: C. R. Genovese, K. Roeder & L. Wasserman, Biometrika 93 (2006) 509, for weights in false-discovery control.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Prior {
    /// A lot of the failed part, or of what it was made from.
    Upstream,
    /// Anything else.
    Other,
}

impl Prior {
    const ALL: [Self; 2] = [Self::Upstream, Self::Other];

    /// The prior of a level.
    pub(super) fn of(level: FactorLevel) -> Self {
        if matches!(level, FactorLevel::UsedLot(_)) { Self::Upstream } else { Self::Other }
    }

    /// What its evidence counts times.
    pub(super) fn weight(self) -> f64 {
        match self {
            Self::Upstream => 1.0,
            Self::Other => 0.3,
        }
    }
}

impl Scanned {
    /// Adds a level, with or without reports.
    pub(super) fn add(&mut self, prior: Prior, usual: Usual) {
        let expected = (usual.expected.max(1e-6).ln() * BINS_OF_EXPECTED).ceil() as i32;
        let shape = (usual.shape.clamp(0.05, 1e4).ln() * BINS_OF_SHAPE).floor() as i32;
        *self.0.entry((prior, expected, shape)).or_default() += 1.0;
    }

    /// Adds all of another's.
    pub(super) fn add_all(&mut self, others: &Self) {
        others.0.iter().for_each(|(&bin, n)| *self.0.entry(bin).or_default() += n);
    }

    /// Flags expected among the levels of one prior if nothing were wrong anywhere, with this weighted evidence or more.
    fn false_flags(&self, of: Prior, evidence: f64) -> f64 {
        let evidence = evidence / of.weight();
        let of_bin = |(&(_, expected, shape), n): (&(Prior, i32, i32), &f64)| {
            let usual = Usual {
                expected: (f64::from(expected) / BINS_OF_EXPECTED).exp(),
                shape: (f64::from(shape) / BINS_OF_SHAPE).exp(),
            };
            let least = (RATIO_WORTH_A_FLAG * usual.expected) as u64 + 1;
            let least = usual.smallest(evidence, least.max(u64::from(REPORTS_WORTH_A_FLAG)));
            n * usual.chance(least as f64)
        };
        self.0.iter().filter(|(bin, _)| bin.0 == of).map(of_bin).sum()
    }

    /// For each level that may be flagged, with its evidence, the share of false flags among those with as much: of all
    /// levels, or of those of its own prior where that is more. Item lots and months that follow from a bad upstream lot are
    /// flags that are right, and yet no reason to be less strict with upstream lots.
    pub(super) fn false_share(&self, levels: &[(Prior, f64)]) -> Vec<f64> {
        let weighted: Vec<f64> = levels.iter().map(|(prior, evidence)| evidence * prior.weight()).collect();
        let steps: BTreeSet<i32> = weighted.iter().copied().map(step).collect();
        let at_step = |at: i32| {
            let evidence = (f64::from(at) * STEP).exp();
            (at, Prior::ALL.map(|prior| self.false_flags(prior, evidence)))
        };
        let let_through: BTreeMap<i32, [f64; 2]> = steps.into_par_iter().map(at_step).collect();
        let mut shares = false_share(&weighted, |at| let_through[&at].iter().sum());
        for (n, prior) in Prior::ALL.into_iter().enumerate() {
            let places: Vec<usize> = (0..levels.len()).filter(|&at| levels[at].0 == prior).collect();
            let own: Vec<f64> = places.iter().map(|&at| weighted[at]).collect();
            for (at, share) in places.into_iter().zip(false_share(&own, |at| let_through[&at][n])) {
                shares[at] = shares[at].max(share);
            }
        }
        shares
    }
}

/// The step of some weighted evidence.
fn step(evidence: f64) -> i32 {
    (evidence.max(1e-3).ln() / STEP).floor().min(500.0) as i32
}

/// For the weighted evidence of each level that may be flagged, the share of false flags among those with as much, by the
/// flags that each step lets through.
fn false_share(evidence: &[f64], let_through: impl Fn(i32) -> f64) -> Vec<f64> {
    let mut order: Vec<usize> = (0..evidence.len()).collect();
    order.sort_by(|&a, &b| evidence[b].total_cmp(&evidence[a]));
    let mut shares = vec![1.0; evidence.len()];
    let mut least = 1.0_f64;
    for (rank, &at) in order.iter().enumerate().rev() {
        least = least.min(let_through(step(evidence[at])) / (rank as f64 + 1.0));
        shares[at] = least;
    }
    shares
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: of 1,000 levels that expect 0.1 each, three or more reports come to 0.1^3 / 6 or so of them, 0.155 in all.
    #[test]
    fn levels_too_small_for_a_flag_let_hardly_any_through() {
        let mut scanned = Scanned::default();
        let usual = Usual { expected: 0.1, shape: 1e4 };
        (0..1000).for_each(|_| scanned.add(Prior::Upstream, usual));
        let through = scanned.false_flags(Prior::Upstream, 1e-3);
        assert!((0.15..0.25).contains(&through), "{through}");
        assert!(scanned.false_flags(Prior::Upstream, usual.evidence(4.0)) < through / 20.0);
    }

    #[test]
    fn two_that_stand_out_share_what_one_would_have_to_bear() {
        let mut scanned = Scanned::default();
        (0..100).for_each(|_| scanned.add(Prior::Upstream, Usual { expected: 2.0, shape: 1e4 }));
        let evidence = Usual { expected: 2.0, shape: 1e4 }.evidence(9.0);
        let alone = scanned.false_share(&[(Prior::Upstream, evidence)])[0];
        let both = scanned.false_share(&[(Prior::Upstream, evidence); 2]);
        assert!((both[0] - alone / 2.0).abs() < 1e-12 && both[0] == both[1]);
        assert_eq!(
            scanned.false_share(&[(Prior::Upstream, 1e-3), (Prior::Upstream, evidence)])[0],
            1.0,
            "no evidence is no flag"
        );
    }
}
