//! Lifetimes: at which age each unit failed, or up to which it is known to have survived, checked once.

mod order;

use std::ops::RangeInclusive;

use crate::error::StatsError;

/// How much is known of the end of one life. Ages are above 0, in any unit, the same for all.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum End {
    /// Failed at this age (exact).
    Failed(f64),
    /// Alive when last seen, at this age (censored on the right).
    Survived(f64),
    /// Found failed at this age, never seen before (censored on the left).
    FailedBefore(f64),
    /// Alive at the first age, found failed at the second (censored to an interval).
    FailedBetween(f64, f64),
}

/// One life, or several alike: how it ended, the age at which watching began, and how many it stands for.
///
/// ```
/// use stats::lifetimes::Life;
/// let ten_survivors = Life::survived(500.0).times(10.0);
/// let watched_from_age_3 = Life::failed(7.5).watched_from(3.0);
/// assert_eq!((ten_survivors.weight, watched_from_age_3.entry), (10.0, 3.0));
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Life {
    /// What is known of its end.
    pub end: End,
    /// Age at which watching began, 0 for most. A unit that had failed before would never have been listed, which
    /// the methods take into account (left truncation).
    pub entry: f64,
    /// How many units the row stands for, from 1e-100 to 1e12; fractions are accepted.
    pub weight: f64,
}

impl Life {
    /// Failed at an age.
    pub fn failed(age: f64) -> Self {
        Self { end: End::Failed(age), entry: 0.0, weight: 1.0 }
    }

    /// Alive when last seen.
    pub fn survived(age: f64) -> Self {
        Self { end: End::Survived(age), entry: 0.0, weight: 1.0 }
    }

    /// Found failed at its first inspection.
    pub fn failed_before(age: f64) -> Self {
        Self { end: End::FailedBefore(age), entry: 0.0, weight: 1.0 }
    }

    /// Alive at one inspection, failed at the next.
    pub fn failed_between(low: f64, high: f64) -> Self {
        Self { end: End::FailedBetween(low, high), entry: 0.0, weight: 1.0 }
    }

    /// The same life, watched only from an age on.
    pub fn watched_from(self, entry: f64) -> Self {
        Self { entry, ..self }
    }

    /// The same life, standing for `weight` units.
    pub fn times(self, weight: f64) -> Self {
        Self { weight, ..self }
    }

    /// Last age that says something of this life.
    #[inline]
    pub fn last_age(&self) -> f64 {
        match self.end {
            End::Failed(age) | End::Survived(age) | End::FailedBefore(age) | End::FailedBetween(_, age) => {
                age
            }
        }
    }
}

/// Beyond these a likelihood would lose its digits.
const WEIGHTS: RangeInclusive<f64> = 1e-100..=1e12;

/// Lives that belong together: at least one, each with sound ages and weight. Equal rows are merged.
#[derive(Clone, Debug, PartialEq)]
pub struct Lifetimes {
    lives: Vec<Life>,
}

impl Lifetimes {
    /// Checks and keeps the lives.
    ///
    /// A survivor last seen at the age at which watching began says nothing and is left out. An interval from 0
    /// is the same as [`End::FailedBefore`]; a unit found failed and watched from an age above 0 failed between the two.
    ///
    /// # Errors
    /// [`StatsError::ItemOutOfRange`] for the first age or entry that is negative, infinite or NaN, a weight outside 1e-100
    /// to 1e12, an age at failure of 0, an interval that does not rise, or an entry not before the end;
    /// [`StatsError::TooFew`] where nothing is left.
    pub fn new(lives: impl IntoIterator<Item = Life>) -> Result<Self, StatsError> {
        let mut kept: Vec<Life> = lives.into_iter().collect();
        let mut silent = false;
        for (index, life) in kept.iter_mut().enumerate() {
            silent |= !check(index, life)?;
        }
        if silent {
            kept.retain(|life| !matches!(life.end, End::Survived(age) if age == life.entry));
        }
        if kept.is_empty() {
            return Err(StatsError::TooFew { what: "lives with time on watch", given: 0, needed: 1 });
        }
        order::arrange(&mut kept);
        Ok(Self { lives: kept })
    }

    /// The lives, exact failures first, each kind by rising age.
    pub fn lives(&self) -> &[Life] {
        &self.lives
    }

    /// How many units failed, weights added.
    pub fn failures(&self) -> f64 {
        self.lives.iter().filter(|l| !matches!(l.end, End::Survived(_))).map(|l| l.weight).sum()
    }

    /// The largest age that occurs.
    pub fn longest(&self) -> f64 {
        let (mut rest, mut longest) = (self.lives.as_slice(), 0.0_f64);
        while let Some(first) = rest.first() {
            let (alike, others) =
                rest.split_at(rest.partition_point(|l| order::kind(l) == order::kind(first)));
            // Those between two ages rise by the first of them, all others by their only one.
            let last = match first.end {
                End::FailedBetween(..) => alike.iter().map(Life::last_age).fold(0.0, f64::max),
                _ => alike[alike.len() - 1].last_age(),
            };
            (rest, longest) = (others, longest.max(last));
        }
        longest
    }

    /// Exact failures and survivors only, as methods that cannot use intervals need them.
    ///
    /// # Errors
    /// [`StatsError::NoEstimate`] where a failure is known to an interval only.
    pub(crate) fn exact_only(&self) -> Result<(), StatsError> {
        match self.lives.last().map(|l| l.end) {
            Some(End::FailedBefore(_) | End::FailedBetween(..)) => Err(StatsError::NoEstimate {
                reason: "this method needs each failure's own age, and some are known to an interval only",
            }),
            _ => Ok(()),
        }
    }
}

/// Whether the life says anything; one that can be said more plainly is rewritten.
#[inline]
fn check(index: usize, life: &mut Life) -> Result<bool, StatsError> {
    let entry = life.entry;
    if WEIGHTS.contains(&life.weight) && entry >= 0.0 {
        // Nearly all lives are of these two kinds.
        match life.end {
            End::Failed(age) if age > entry && age.is_finite() => return Ok(true),
            End::Survived(age) if age >= entry && age.is_finite() => return Ok(age > entry),
            _ => {}
        }
    }
    check_closely(index, life)?;
    Ok(true)
}

fn check_closely(index: usize, life: &mut Life) -> Result<(), StatsError> {
    let bad = |what, value, accepted| Err(StatsError::ItemOutOfRange { what, index, value, accepted });
    if !WEIGHTS.contains(&life.weight) {
        return bad("weight of life", life.weight, "from 1e-100 to 1e12");
    }
    if !(life.entry >= 0.0 && life.entry.is_finite()) {
        return bad("age at entry of life", life.entry, "a finite number of 0 or more");
    }
    match life.end {
        End::Survived(age) if !(age >= life.entry && age.is_finite()) => {
            return bad("age survived of life", age, "finite and not below the age at entry");
        }
        End::Failed(age) | End::FailedBefore(age) if !(age > life.entry && age.is_finite()) => {
            return bad("age at failure of life", age, "finite, above 0 and above the age at entry");
        }
        End::FailedBefore(age) if life.entry > 0.0 => life.end = End::FailedBetween(life.entry, age),
        End::FailedBetween(low, _) if !(low >= life.entry && low.is_finite()) => {
            return bad("age last seen alive of life", low, "finite and not below the age at entry");
        }
        End::FailedBetween(low, high) if !(high > low && high.is_finite()) => {
            return bad("age found failed of life", high, "finite and above the age last seen alive");
        }
        End::FailedBetween(0.0, high) => life.end = End::FailedBefore(high),
        End::Failed(_) | End::Survived(_) | End::FailedBefore(_) | End::FailedBetween(..) => {}
    }
    Ok(())
}
