//! Items at risk by age in service, unit by unit.
//!
//! Items are at risk at the ages they passed in service while reports were kept (left truncation); a failed item is mended
//! and at risk again, unless it is told to be worn on unmended.
//!
//! Units use and report differently, and where items are used hardest they also leave soonest, so that the old items of
//! the whole are those of the units that are kind to them. Ageing is therefore told within units: what each has at risk
//! counts by the unit's own rate, which for counts is the same as to take the number of each unit's failures as given
//! (J. Hausman, B. H. Hall & Z. Griliches, Econometrica 52 (1984) 909).

use super::age_profile::{LAST, STEP, STEP_YEARS, step_of};
use super::service::{Service, Stay};
use super::window::Window;
use crate::field::{Id as _, UnitId};

/// Rounds in which a unit's rate and what can still fail there are brought in line: at least so many, and at most where more are
/// told to be lost than there were.
const ROUNDS: std::ops::Range<usize> = 2..30;
/// A round that changes less, relative, is the last.
const SETTLED: f64 = 0.005;

/// Item-steps at risk of a part, within the window.
pub(super) struct AtRisk {
    /// Of each unit that has any, by step of age.
    units: Vec<(UnitId, Vec<f64>)>,
    /// The share of all service that was at an age on record.
    pub(super) share_aged: f64,
    /// Of all units together.
    pub(super) all: Vec<f64>,
    /// Logarithms of the ages in the middle of each step.
    pub(super) log_ages: Vec<f64>,
}

impl AtRisk {
    pub(super) fn new(service: &Service, window: Window) -> Self {
        let mut units: Vec<(UnitId, Vec<f64>)> = Vec::new();
        let (mut aged, mut served) = (0.0, 0.0);
        for stays in service.stays().chunk_by(|a, b| a.unit == b.unit) {
            for stay in stays {
                let days = (stay.to.min(window.to).0 - stay.from.max(window.from).0).max(0);
                let item_days = f64::from(days) * f64::from(stay.quantity);
                served += item_days;
                aged += if stay.age_known { item_days } else { 0.0 };
            }
            let steps = steps(stays, window);
            if !steps.is_empty() {
                units.push((stays[0].unit, steps));
            }
        }
        let mut all = vec![0.0; units.iter().map(|(_, steps)| steps.len()).max().unwrap_or(0)];
        for (_, steps) in &units {
            all.iter_mut().zip(steps).for_each(|(sum, n)| *sum += n);
        }
        let log_age = |step: usize| ((step as f64 + 0.5) * STEP_YEARS).ln();
        let log_ages = (0..all.len()).map(log_age).collect();
        let share_aged = if served > 0.0 { aged / served } else { 1.0 };
        Self { units, share_aged, all, log_ages }
    }

    /// What is at risk by age where rates go with the age to the power of `shape - 1`: each unit's items weighed by its own
    /// rate of failure over the mean one. `failures` are by unit; `lost` of the items that fail can't fail so again.
    /// Weighed so, all units together fail as often as they do.
    pub(super) fn within_units(&self, failures: &[f64], shape: f64, lost: f64) -> Vec<f64> {
        let rising = Rising::new(&self.log_ages, shape);
        let (mut told, mut used) = (0.0, 0.0);
        let rate = |(unit, steps): &(UnitId, Vec<f64>)| {
            let n = failures[unit.index()];
            let own = rising.used_at(steps, n, lost);
            told += n;
            used += own;
            n / own
        };
        let rates: Vec<f64> = self.units.iter().map(rate).collect();
        if told <= 0.0 {
            return self.all.clone();
        }
        let mut weighed = vec![0.0; self.all.len()];
        for ((_, steps), rate) in self.units.iter().zip(&rates).filter(|of| *of.1 > 0.0) {
            let of_step = weighed.iter_mut().zip(steps).zip(rising.left(lost * rate));
            of_step.for_each(|((sum, n), left)| *sum += rate * used / told * n * left);
        }
        weighed
    }

    /// Sum over units of the failures of each times the variance of the logarithm of the ages at which they would come.
    pub(super) fn spread_within_units(&self, failures: &[f64], shape: f64) -> f64 {
        let rising = Rising::new(&self.log_ages, shape);
        self.units.iter().map(|(unit, steps)| failures[unit.index()] * rising.spread(steps)).sum()
    }
}

/// A rate that goes with a power of age, by step, up to a factor; and how much of it has passed at each.
pub(super) struct Rising<'a> {
    log_ages: &'a [f64],
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

/// Item-steps of some stays.
fn steps(stays: &[Stay], window: Window) -> Vec<f64> {
    let mut by_day = Passed::default();
    for stay in stays.iter().filter(|stay| stay.age_known) {
        let (from, to) = (stay.from.max(window.from), stay.to.min(window.to));
        if from < to {
            by_day.add(stay.age_on(from), to.0 - from.0, i64::from(stay.quantity));
        }
    }
    by_day.steps()
}

/// Items by the day of age they pass, kept as what each day begins with and ends: a stay costs the same however long.
#[derive(Default)]
struct Passed {
    begun_less_ended: Vec<i64>,
}

impl Passed {
    /// Adds the days that items spend from an age on.
    fn add(&mut self, age: i32, days: i32, items: i64) {
        let (from, to) = (age as usize, (age + days) as usize);
        if self.begun_less_ended.len() <= to {
            self.begun_less_ended.resize(to + 1, 0);
        }
        self.begun_less_ended[from] += items;
        self.begun_less_ended[to] -= items;
    }

    /// Item-steps by step; everything beyond the last stands in it.
    fn steps(&self) -> Vec<f64> {
        let mut item_days: Vec<i64> =
            vec![0; self.begun_less_ended.len().div_ceil(STEP as usize).min(LAST + 1)];
        let mut there = 0;
        for (day, change) in (0..).zip(&self.begun_less_ended) {
            there += change;
            if there > 0 {
                item_days[step_of(day)] += there;
            }
        }
        let used = item_days.iter().rposition(|&n| n > 0).map_or(0, |last| last + 1);
        item_days[..used].iter().map(|&n| n as f64 / f64::from(STEP)).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

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
