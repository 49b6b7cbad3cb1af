//! How well a grouping of items matches the true one: pair counts, adjusted Rand index, B-cubed.

use crate::cross_table::CrossTable;
use crate::error::StatsError;

/// Scores of a grouping against the truth. A share of nothing is `None`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Grouping {
    /// Pairs together in both.
    pub together_both: u64,
    /// Pairs together in truth.
    pub together_true: u64,
    /// Pairs together in the grouping judged.
    pub together_found: u64,
    /// All pairs.
    pub pairs: u64,
    /// B-cubed precision: over items, the mean share of its group that truly belongs with it.
    pub b_cubed_precision: f64,
    /// B-cubed recall: over items, the mean share of its true group that is with it.
    pub b_cubed_recall: f64,
}

/// Compares a grouping with the truth, given as one label an item; the labels' values mean nothing.
///
/// Sources: W. M. Rand, J. Am. Statist. Assoc. 66 (1971); L. Hubert and P. Arabie, J. Classif. 2 (1985); A. Bagga and
/// B. Baldwin, Proc. LREC Workshop (1998).
///
/// ```
/// let scores = stats::grouping::score(&[0, 0, 0, 1, 1, 1], &[0, 0, 1, 1, 2, 2]).unwrap();
/// assert!((scores.adjusted_rand() - 0.2424).abs() < 5e-5 && (scores.rand() - 0.6667).abs() < 5e-5);
/// ```
///
/// # Errors
/// [`StatsError::LengthsDiffer`] where an item has one label only; [`StatsError::TooFew`] for fewer than two items.
pub fn score<T: Ord, F: Ord>(truth: &[T], found: &[F]) -> Result<Grouping, StatsError> {
    if truth.len() != found.len() {
        return Err(StatsError::LengthsDiffer {
            first: "true labels",
            second: "labels found",
            lengths: (truth.len(), found.len()),
        });
    }
    if truth.len() < 2 {
        return Err(StatsError::TooFew { what: "items", given: truth.len(), needed: 2 });
    }
    let CrossTable { cells, rows, columns } = CrossTable::apart(truth, found);
    let n = truth.len() as f64;
    let (mut precise, mut recalled) = (0.0, 0.0);
    for &((one, two), count) in &cells {
        let square = count as f64 * count as f64;
        precise += square / columns[two] as f64;
        recalled += square / rows[one] as f64;
    }
    Ok(Grouping {
        together_both: cells.into_iter().map(|(_, count)| pairs(count)).sum(),
        together_true: rows.into_iter().map(pairs).sum(),
        together_found: columns.into_iter().map(pairs).sum(),
        pairs: pairs(truth.len() as u64),
        b_cubed_precision: precise / n,
        b_cubed_recall: recalled / n,
    })
}

fn pairs(n: u64) -> u64 {
    n * n.saturating_sub(1) / 2
}

impl Grouping {
    /// Of the pairs put together, the share that belongs together.
    pub fn precision(&self) -> Option<f64> {
        share(self.together_both, self.together_found)
    }

    /// Of the pairs that belong together, the share put together.
    pub fn recall(&self) -> Option<f64> {
        share(self.together_both, self.together_true)
    }

    /// Harmonic mean of precision and recall of pairs.
    pub fn f1(&self) -> Option<f64> {
        harmonic(self.precision()?, self.recall()?)
    }

    /// Share of pairs on which both groupings agree.
    pub fn rand(&self) -> f64 {
        let apart_in_one = self.together_true + self.together_found - 2 * self.together_both;
        (self.pairs - apart_in_one) as f64 / self.pairs as f64
    }

    /// Rand index adjusted for chance, `(TP - ab/N) / ((a + b)/2 - ab/N)` with `a` and `b` the pairs together in each and
    /// `N` all pairs: 1 for the truth, about 0 for chance. 1 by convention where both are all one group or all alone.
    pub fn adjusted_rand(&self) -> f64 {
        let [both, truth, found, all] =
            [self.together_both, self.together_true, self.together_found, self.pairs].map(i128::from);
        let below = all * (truth + found) - 2 * truth * found;
        if below == 0 { 1.0 } else { (2 * (all * both - truth * found)) as f64 / below as f64 }
    }

    /// Harmonic mean of the B-cubed precision and recall.
    pub fn b_cubed_f1(&self) -> Option<f64> {
        harmonic(self.b_cubed_precision, self.b_cubed_recall)
    }
}

fn share(part: u64, all: u64) -> Option<f64> {
    (all > 0).then(|| part as f64 / all as f64)
}

fn harmonic(one: f64, two: f64) -> Option<f64> {
    (one + two > 0.0).then(|| 2.0 * one * two / (one + two))
}
