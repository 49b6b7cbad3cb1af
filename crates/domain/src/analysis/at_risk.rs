//! Items at risk by age in service, unit by unit, those built to a change apart.
//!
//! Items are at risk at the ages they passed in service while reports were kept (left truncation); a failed item is mended
//! and at risk again, unless it is told to be worn on unmended.
//!
//! Units use and report differently, and where items are used hardest they also leave soonest, so that the old items of
//! the whole are those of the units that are kind to them. Ageing is therefore told within units: what each has at risk
//! counts by the unit's own rate, which for counts is the same as to take the number of each unit's failures as given
//! (J. Hausman, B. H. Hall & Z. Griliches, Econometrica 52 (1984) 909).

use std::ops::RangeInclusive;

use super::age_profile::{LAST, STEP, STEP_YEARS};
use super::service::{Service, Stay};
use crate::field::{Day, Id as _, UnitId};

/// Rounds in which a unit's rate and what can still fail there are brought in line: at least so many, and at most where more are
/// told to be lost than there were.
const ROUNDS: std::ops::Range<usize> = 2..30;
/// A round that changes less, relative, is the last.
const SETTLED: f64 = 0.005;

/// Items at risk at one unit, those built to a change apart from the others: they fail at a level of their own, and being the
/// young ones would pass for ageing.
#[derive(Clone)]
struct Group {
    unit: UnitId,
    is_built: bool,
    /// Item-steps by step of age.
    steps: Vec<f64>,
}

/// Where the items of a unit, built to a change or not, stand among all.
pub(super) fn group(unit: UnitId, is_built: bool) -> usize {
    2 * unit.index() + usize::from(is_built)
}

impl Group {
    fn place(&self) -> usize {
        group(self.unit, self.is_built)
    }
}

/// Item-steps at risk of a part, within the window.
#[derive(Clone)]
pub(super) struct AtRisk {
    /// By unit, those built to a change last; only those that have any.
    groups: Vec<Group>,
    /// The share of all service that was at an age on record.
    pub(super) share_aged: f64,
    /// Of all units together.
    pub(super) all: Vec<f64>,
    /// Logarithms of the ages in the middle of each step.
    pub(super) log_ages: Vec<f64>,
}

impl AtRisk {
    /// What was at risk in some stays, at each unit until a day; `is_built` says which items were built to a change.
    pub(super) fn new(
        service: &Service,
        from: Day,
        until: impl Fn(UnitId) -> Day,
        is_built: impl Fn(&Stay) -> bool,
    ) -> Self {
        let mut groups: Vec<Group> = Vec::new();
        let (mut aged, mut served) = (0.0, 0.0);
        for stays in service.stays().chunk_by(|a, b| a.unit == b.unit) {
            let unit = stays[0].unit;
            let until = until(unit);
            let mut passed = [Passed::default(), Passed::default()];
            for stay in stays {
                let (from, to) = (stay.from.max(from), stay.to.min(until));
                let item_days = f64::from((to.0 - from.0).max(0)) * f64::from(stay.quantity);
                served += item_days;
                aged += if stay.age_known { item_days } else { 0.0 };
                if stay.age_known && from < to {
                    let side = &mut passed[usize::from(is_built(stay))];
                    side.add(stay.age_on(from), to.0 - from.0, i64::from(stay.quantity));
                }
            }
            for (passed, is_built) in passed.iter().zip([false, true]) {
                let steps = passed.steps();
                if !steps.is_empty() {
                    groups.push(Group { unit, is_built, steps });
                }
            }
        }
        let share_aged = if served > 0.0 { aged / served } else { 1.0 };
        Self::of(groups, share_aged)
    }

    fn of(groups: Vec<Group>, share_aged: f64) -> Self {
        let all = sum(groups.iter().map(|group| group.steps.as_slice()));
        let log_age = |step: usize| ((step as f64 + 0.5) * STEP_YEARS).ln();
        let log_ages = (0..all.len()).map(log_age).collect();
        Self { groups, share_aged, all, log_ages }
    }

    /// What can be told of where a share of the failures is found by looking alone: these can't have been told of at ages that
    /// nobody has `looked` at yet.
    pub(super) fn seen_by(&self, looked: &Self, share: f64) -> Self {
        let mut groups = self.groups.clone();
        let mut others = looked.groups.iter().peekable();
        for group in &mut groups {
            group.steps.iter_mut().for_each(|n| *n *= 1.0 - share);
            if let Some(other) = others.next_if(|other| other.place() == group.place()) {
                group.steps.iter_mut().zip(&other.steps).for_each(|(n, looked)| *n += share * looked);
            }
        }
        Self::of(groups, self.share_aged)
    }

    /// The share of each unit's items that fail as those built to a change, by the rates of both over all units.
    pub(super) fn shares_built(&self, failures: &[f64]) -> Vec<f64> {
        let mut rates = [(0.0, 0.0); 2];
        for group in &self.groups {
            let side = &mut rates[usize::from(group.is_built)];
            *side = (side.0 + failures[group.place()], side.1 + group.steps.iter().sum::<f64>());
        }
        let [others, built] = rates.map(|(failures, steps)| if steps > 0.0 { failures / steps } else { 0.0 });
        let mut expected = vec![[0.0, 0.0]; failures.len() / 2];
        for group in &self.groups {
            let rate = if group.is_built { built } else { others };
            expected[group.unit.index()][usize::from(group.is_built)] =
                rate * group.steps.iter().sum::<f64>();
        }
        let share = |[others, built]: [f64; 2]| if built > 0.0 { built / (others + built) } else { 0.0 };
        expected.into_iter().map(share).collect()
    }

    /// What is at risk by age where rates go with the age to the power of `shape - 1`: the items of each group weighed by its own
    /// rate of failure over the mean one. `failures` are by group; `lost` of the items that fail can't fail so again.
    /// Weighed so, all groups together fail as often as they do.
    pub(super) fn within_groups(&self, failures: &[f64], shape: f64, lost: f64) -> Vec<f64> {
        let groups = self.groups.iter().map(|group| (failures[group.place()], group.steps.as_slice()));
        self.weighed(&groups.collect::<Vec<_>>(), shape, lost)
    }

    /// The same with all units as one, every item at risk again, and those built to a change apart.
    pub(super) fn within_sides(&self, failures: &[f64], shape: f64) -> Vec<f64> {
        if self.groups.iter().all(|group| !group.is_built) {
            return self.all.clone();
        }
        let side = |is_built: bool| {
            let groups = || self.groups.iter().filter(move |group| group.is_built == is_built);
            let failed: f64 = groups().map(|group| failures[group.place()]).sum();
            (failed, sum(groups().map(|group| group.steps.as_slice())))
        };
        let [(of_others, others), (of_built, built)] = [side(false), side(true)];
        self.weighed(&[(of_others, &others), (of_built, &built)], shape, 0.0)
    }

    fn weighed(&self, groups: &[(f64, &[f64])], shape: f64, lost: f64) -> Vec<f64> {
        let rising = Rising::new(&self.log_ages, shape);
        let (mut told, mut used) = (0.0, 0.0);
        let rate = |(failures, steps): &(f64, &[f64])| {
            let own = rising.used_at(steps, *failures, lost);
            told += failures;
            used += own;
            if own > 0.0 { failures / own } else { 0.0 }
        };
        let rates: Vec<f64> = groups.iter().map(rate).collect();
        if told <= 0.0 {
            return self.all.clone();
        }
        let mut weighed = vec![0.0; self.all.len()];
        for ((_, steps), rate) in groups.iter().zip(&rates).filter(|of| *of.1 > 0.0) {
            let of_step = weighed.iter_mut().zip(*steps).zip(rising.left(lost * rate));
            of_step.for_each(|((sum, n), left)| *sum += rate * used / told * n * left);
        }
        weighed
    }

    /// Sum over groups of the failures of each times the variance of the logarithm of the ages at which they would come.
    pub(super) fn spread_within_groups(&self, failures: &[f64], shape: f64) -> f64 {
        let rising = Rising::new(&self.log_ages, shape);
        self.groups.iter().map(|group| failures[group.place()] * rising.spread(&group.steps)).sum()
    }
}

/// Item-steps added up by step.
fn sum<'a>(groups: impl Iterator<Item = &'a [f64]>) -> Vec<f64> {
    let mut all: Vec<f64> = Vec::new();
    for steps in groups {
        if all.len() < steps.len() {
            all.resize(steps.len(), 0.0);
        }
        all.iter_mut().zip(steps).for_each(|(sum, n)| *sum += n);
    }
    all
}

/// A rate that goes with a power of age, by step, up to a factor; and how much of it has passed at each.
pub(super) struct Rising<'a> {
    pub(super) log_ages: &'a [f64],
    powers: Vec<f64>,
    passed: Vec<f64>,
}

impl<'a> Rising<'a> {
    pub(super) fn new(log_ages: &'a [f64], shape: f64) -> Self {
        let powers: Vec<f64> = log_ages.iter().map(|log| ((shape - 1.0) * log).exp()).collect();
        let mut so_far = 0.0;
        let middle = |power: &f64| {
            so_far += power;
            so_far - 0.5 * power
        };
        let passed = powers.iter().map(middle).collect();
        Self { log_ages, powers, passed }
    }

    /// What fails at some steps of what is at risk there, up to a factor.
    pub(super) fn rates(&self, at_risk: &[f64], steps: RangeInclusive<usize>) -> Vec<f64> {
        at_risk[steps.clone()].iter().zip(&self.powers[steps]).map(|(n, power)| n * power).collect()
    }

    /// Share of items that can still fail at each step where `rate` times what has passed can't any more.
    fn left(&self, rate: f64) -> impl Iterator<Item = f64> {
        let (mut left, mut before) = (1.0, 0.0);
        self.passed.iter().map(move |&passed| {
            left *= left_after(rate * (passed - before));
            before = passed;
            left
        })
    }

    /// Exposure weighed by the rate, of what can still fail.
    fn used(&self, steps: &[f64], rate: f64) -> f64 {
        steps.iter().zip(&self.powers).zip(self.left(rate)).map(|((n, power), left)| n * power * left).sum()
    }

    /// The same at the rate at which so many fail.
    fn used_at(&self, steps: &[f64], failures: f64, lost: f64) -> f64 {
        let mut used = self.used(steps, 0.0);
        if lost * failures > 0.0 {
            for round in 1..=ROUNDS.end {
                let before = used;
                used = self.used(steps, lost * failures / before);
                if round >= ROUNDS.start && used > before * (1.0 - SETTLED) {
                    break;
                }
            }
        }
        used
    }

    /// Variance of the logarithm of the age over exposure weighed by the rate.
    pub(super) fn spread(&self, steps: &[f64]) -> f64 {
        let (mut sum, mut first, mut second) = (0.0, 0.0, 0.0);
        for ((n, power), log) in steps.iter().zip(&self.powers).zip(self.log_ages) {
            let weight = n * power;
            (sum, first, second) = (sum + weight, first + weight * log, second + weight * log * log);
        }
        if sum > 0.0 { (second / sum - (first / sum).powi(2)).max(0.0) } else { 0.0 }
    }
}

/// `exp(-passed)`. What passes in a week is little: the series, to 3e-9, spares an exponential for each week of each unit.
fn left_after(passed: f64) -> f64 {
    if passed < 0.05 {
        1.0 - passed * (1.0 - passed / 2.0 * (1.0 - passed / 3.0 * (1.0 - passed / 4.0)))
    } else {
        (-passed).exp()
    }
}

/// Item-days by step of age, kept as those of the steps that stays pass whole, by what each begins with and ends, and those of
/// the steps in which they begin or end: a stay costs the same however long.
#[derive(Default)]
struct Passed {
    begun_less_ended: Vec<i64>,
    in_part: Vec<i64>,
}

impl Passed {
    /// Adds the days that items spend from an age on.
    fn add(&mut self, age: i32, days: i32, items: i64) {
        let until = age + days;
        let (first, last) = ((age / STEP) as usize, (until / STEP) as usize);
        if self.in_part.len() <= last {
            self.in_part.resize(last + 1, 0);
            self.begun_less_ended.resize(last + 1, 0);
        }
        // From the beginning of the first step, less what of it was before, and some days of the last.
        self.begun_less_ended[first] += items;
        self.begun_less_ended[last] -= items;
        self.in_part[first] -= i64::from(age % STEP) * items;
        self.in_part[last] += i64::from(until % STEP) * items;
    }

    /// Item-steps by step; everything beyond the last stands in it.
    fn steps(&self) -> Vec<f64> {
        let mut item_days: Vec<i64> = vec![0; self.in_part.len().min(LAST + 1)];
        let mut whole = 0;
        for (step, (change, part)) in self.begun_less_ended.iter().zip(&self.in_part).enumerate() {
            whole += change;
            item_days[step.min(LAST)] += whole * i64::from(STEP) + part;
        }
        let used = item_days.iter().rposition(|&n| n > 0).map_or(0, |last| last + 1);
        item_days[..used].iter().map(|&n| n as f64 / f64::from(STEP)).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::super::age_profile::step_of;
    use super::*;

    /// Day by day: each item-day stands in the step of its age, of stays within a week, over several and beyond the last.
    #[test]
    fn item_steps_are_those_of_the_days_that_pass() {
        let beyond = i32::try_from(LAST).expect("some weeks") * STEP - 10;
        let stays = [(0, 7, 3), (3, 2, 1), (6, 1, 2), (5, 30, 4), (14, 7, 1), (13, 15, 2), (beyond, 100, 1)];
        let mut passed = Passed::default();
        let mut by_day = vec![0.0; LAST + 1];
        for (age, days, items) in stays {
            passed.add(age, days, items);
            (age..age + days).for_each(|day| by_day[step_of(day)] += items as f64 / f64::from(STEP));
        }
        let steps = passed.steps();
        assert_eq!(steps.len(), LAST + 1);
        assert!(steps.iter().zip(&by_day).all(|(a, b)| (a - b).abs() < 1e-9));
        assert!(Passed::default().steps().is_empty());
    }

    /// Against `exp` itself, over eight years, where little, much and nearly all can't fail any more.
    #[test]
    fn what_can_still_fail_falls_exponentially_with_what_has_passed() {
        let log_ages: Vec<f64> = (0..417).map(|week| ((f64::from(week) + 0.5) * STEP_YEARS).ln()).collect();
        for shape in [0.5, 1.0, 1.9, 4.0] {
            let rising = Rising::new(&log_ages, shape);
            let all = rising.passed.last().expect("weeks");
            for share in [0.0, 0.01, 1.0, 30.0] {
                let rate = share / all;
                for (left, passed) in rising.left(rate).zip(&rising.passed) {
                    let exact = (-rate * passed).exp();
                    assert!((left / exact - 1.0).abs() < 1e-6, "{shape} {share}: {left} {exact}");
                }
            }
        }
    }
}
