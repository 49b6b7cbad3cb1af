//! Who is at risk when something fails, walked from the greatest age down, so that no age needs a list of its own.

use crate::error::StatsError;
use crate::lifetimes::{End, Life, Lifetimes};

/// One group of lives on the way down.
pub(crate) struct Descent<'a> {
    /// Those not yet passed, the next one last.
    failed: &'a [Life],
    survived: &'a [Life],
    /// Ages of the two next ones, 0 where there is none.
    next_failed: f64,
    next_survived: f64,
    /// Age and weight of those that entered late, likewise.
    entries: Vec<(f64, f64)>,
    /// Weight of all that end, and of all that enter, at the age reached or later.
    ended: f64,
    entered: f64,
}

impl<'a> Descent<'a> {
    /// Stands above the greatest age.
    ///
    /// # Errors
    /// [`StatsError::NoEstimate`] where a failure is known to an interval only.
    pub(crate) fn new(lifetimes: &'a Lifetimes) -> Result<Self, StatsError> {
        lifetimes.exact_only()?;
        let lives = lifetimes.lives();
        let (failed, survived) = lives.split_at(lives.partition_point(|l| matches!(l.end, End::Failed(_))));
        let mut entries: Vec<_> =
            lives.iter().filter(|l| l.entry > 0.0).map(|l| (l.entry, l.weight)).collect();
        entries.sort_unstable_by(|one, two| one.0.total_cmp(&two.0));
        let (next_failed, next_survived) = (last_age(failed), last_age(survived));
        Ok(Self { failed, survived, next_failed, next_survived, entries, ended: 0.0, entered: 0.0 })
    }

    /// How many rows of failures are still below.
    pub(crate) fn rows_left(&self) -> usize {
        self.failed.len()
    }

    /// The next age down at which something failed, 0 where there is none.
    #[inline]
    pub(crate) fn next_age(&self) -> f64 {
        self.next_failed
    }

    /// Goes down to an age above 0, not below [`Descent::next_age`]: the units at risk there, who entered before it and end
    /// there or later, and the units that failed there.
    #[inline]
    pub(crate) fn go_to(&mut self, age: f64) -> (f64, f64) {
        let mut failed = 0.0;
        while self.next_failed >= age
            && let Some((life, below)) = self.failed.split_last()
        {
            failed += life.weight;
            (self.failed, self.next_failed) = (below, last_age(below));
        }
        while self.next_survived >= age
            && let Some((life, below)) = self.survived.split_last()
        {
            self.ended += life.weight;
            (self.survived, self.next_survived) = (below, last_age(below));
        }
        self.ended += failed;
        while let Some((_, weight)) = self.entries.pop_if(|entry| entry.0 >= age) {
            self.entered += weight;
        }
        let at_risk = self.ended - self.entered;
        // Sums of fractional weights in another order: all that are left fail here.
        let all_fail = (at_risk - failed).abs() < 1e-12 * self.ended;
        (if all_fail { failed } else { at_risk }, failed)
    }
}

#[inline]
fn last_age(rising: &[Life]) -> f64 {
    rising.last().map_or(0.0, Life::last_age)
}
