//! How a life is fitted: failures placed at their possible ages by the shape just found, items at risk by what their unit
//! and earlier failures leave of them, and both again until the shape settles.

use std::collections::BTreeMap;
use std::ops::RangeInclusive;

use stats::life::{Fit, Model, fit};
use stats::lifetimes::{Life as Row, Lifetimes};

use super::NoLife;
use crate::analysis::age_profile::{AgeProfile, Possible, STEP_YEARS};
use crate::analysis::at_risk::Rising;
use crate::analysis::held::SENT_TWICE;

/// How often ages and units are weighed anew with the shape just found, at most.
const ROUNDS: usize = 12;

/// A change of the shape's logarithm that is none any more.
const SETTLED: f64 = 1e-3;

/// The least that failures whose ages are known to several possibilities are taken to tell, as a share of what exact ages
/// would.
const LEAST_KNOWN: f64 = 0.2;

/// A fit with what it was made from.
pub(super) struct Fitted {
    pub(super) fit: Fit,
    placed: Placed,
    at_risk: Vec<f64>,
}

impl Fitted {
    /// As reports come: all units taken as one, and every item as mended.
    pub(super) fn as_seen(profile: &AgeProfile<'_>) -> Result<Self, NoLife> {
        Self::settled(profile, 1.0, |shape| profile.at_risk.within_sides(&profile.by_group, shape))
    }

    /// As parts age: within units, and without the items that have failed and are worn on unmended. Of failures that are
    /// not reported as many are taken to be worn on as of those that are.
    pub(super) fn within_units(
        profile: &AgeProfile<'_>,
        share_reported: f64,
        from: f64,
    ) -> Result<Self, NoLife> {
        let lost = profile.share_kept() / share_reported;
        let settled = Self::settled(profile, from, |shape| {
            profile.at_risk.within_groups(&profile.by_group, shape, lost)
        })?;
        let shape = settled.fit.distribution().shape();
        // Limits of the same fit that rests on fewer failures.
        let told = settled.placed.told(profile, &settled.at_risk, shape);
        Self::new(profile, settled.at_risk, shape, told / SENT_TWICE)
    }

    fn settled(
        profile: &AgeProfile<'_>,
        from: f64,
        at_risk: impl Fn(f64) -> Vec<f64>,
    ) -> Result<Self, NoLife> {
        let mut found = Self::new(profile, at_risk(from), from, 1.0)?;
        let mut shape = from;
        for _ in 1..ROUNDS {
            let before = std::mem::replace(&mut shape, found.fit.distribution().shape());
            if (shape / before).ln().abs() < SETTLED {
                break;
            }
            found = Self::new(profile, at_risk(shape), shape, 1.0)?;
        }
        Ok(found)
    }

    /// The fit with the ages weighed by a shape, everything counted by `weight`. Every failed item is at risk again.
    fn new(profile: &AgeProfile<'_>, at_risk: Vec<f64>, shape: f64, weight: f64) -> Result<Self, NoLife> {
        let placed = Placed::new(profile, &at_risk, shape);
        // Failures without an age had their share of the time at risk, and those of other items none.
        let aged = f64::from(profile.failures()) / profile.of_items_at_risk;
        let mut survived: Vec<f64> = at_risk.iter().map(|n| n * aged).collect();
        let age = |step: usize| step as f64 * STEP_YEARS;
        let mut lives = Vec::with_capacity(3 * at_risk.len());
        for &(low, high, items) in &placed.spans {
            let (low, high) = (usize::from(low), usize::from(high));
            let between = Row::failed_between(age(low), age(high + 1));
            lives.push(between.watched_from(age(low)).times(weight * items));
            survived[low..=high].iter_mut().for_each(|n| *n -= items);
        }
        for (step, &failed) in placed.exact.iter().enumerate() {
            let left = survived[step] - failed;
            if left > 0.0 {
                lives.push(Row::survived(age(step + 1)).watched_from(age(step)).times(weight * left));
            }
            if failed > 0.0 && step == 0 {
                // Where many fail at once the middle of the first week is late.
                lives.push(Row::failed_between(age(0), age(1)).times(weight * failed));
            } else if failed > 0.0 {
                let (middle, failed) = (0.5 * (age(step) + age(step + 1)), weight * failed);
                lives.push(Row::failed(middle).watched_from(age(step)).times(failed));
                lives.push(Row::survived(age(step + 1)).watched_from(middle).times(failed));
            }
        }
        let lives = Lifetimes::new(lives).map_err(|_| NoLife::NoService)?;
        Ok(Self { fit: fit(&lives, Model::Weibull).map_err(NoLife::NoEstimate)?, placed, at_risk })
    }

    /// Failures per item at risk at each step of age.
    pub(super) fn counted(&self, profile: &AgeProfile<'_>) -> Vec<f64> {
        let mut failed = self.placed.exact.clone();
        for &(low, high, items) in &self.placed.spans {
            let steps = f64::from(high - low + 1);
            failed[usize::from(low)..=usize::from(high)].iter_mut().for_each(|n| *n += items / steps);
        }
        let aged = f64::from(profile.failures()) / profile.of_items_at_risk;
        let of = |(failed, n): (f64, &f64)| if *n > 0.0 { failed / (aged * n).max(failed) } else { 0.0 };
        failed.into_iter().zip(&self.at_risk).map(of).collect()
    }
}

/// Failures at each step of age, each spread over its possible ages, and those known to a span of steps only.
struct Placed {
    exact: Vec<f64>,
    spans: Vec<(u16, u16, f64)>,
    /// Sum over failures of the variance of the logarithm of their possible ages.
    open: f64,
}

impl Placed {
    fn new(profile: &AgeProfile<'_>, at_risk: &[f64], shape: f64) -> Self {
        // What has passed of a life by each step: an age that is known to a span is as probable as all that passes in it.
        let steps = profile.at_risk.all.len();
        let passed: Vec<f64> = (0..=steps).map(|step| (step as f64).powf(shape)).collect();
        let logs = &profile.at_risk.log_ages;
        let mut placed = Self { exact: vec![0.0; profile.at_risk.all.len()], spans: Vec::new(), open: 0.0 };
        let mut memories: BTreeMap<(u16, u16), f64> = BTreeMap::new();
        let mut from = 0;
        for &end in &profile.ends {
            let possible = &profile.possible[from..end];
            from = end;
            if let &[Possible { low, high, is_remembered: true, .. }] = possible {
                *memories.entry((low, high)).or_default() += 1.0;
                continue;
            }
            let weight = |p: &Possible| {
                f64::from(p.items) * (passed[usize::from(p.high) + 1] - passed[usize::from(p.low)])
            };
            let total: f64 = possible.iter().map(weight).sum();
            let (mut first, mut second) = (0.0, 0.0);
            for p in possible {
                let share = if total > 0.0 { weight(p) / total } else { 1.0 / possible.len() as f64 };
                let log = logs[usize::from(p.low.midpoint(p.high))];
                (first, second) = (first + share * log, second + share * log * log);
                if p.low == p.high {
                    placed.exact[usize::from(p.high)] += share;
                } else {
                    placed.spans.push((p.low, p.high, share));
                }
            }
            placed.open += (second - first * first).max(0.0);
        }
        let rising = Rising::new(logs, shape);
        for ((low, high), failures) in memories {
            placed.remember(&rising, at_risk, usize::from(low)..=usize::from(high), failures);
        }
        placed.spans.sort_unstable_by_key(|&(low, high, _)| (low, high));
        placed.spans.dedup_by(|next, first| {
            let same = (next.0, next.1) == (first.0, first.1);
            if same {
                first.2 += next.2;
            }
            same
        });
        placed
    }

    /// Places failures at one of some ages each, which are as probable as what is at risk at them and how often it fails.
    fn remember(&mut self, rising: &Rising<'_>, at_risk: &[f64], ages: RangeInclusive<usize>, failures: f64) {
        let mut weights = rising.rates(at_risk, ages.clone());
        if weights.iter().all(|weight| *weight <= 0.0) {
            weights.fill(1.0);
        }
        let total: f64 = weights.iter().sum();
        let (mut first, mut second) = (0.0, 0.0);
        for (step, weight) in ages.zip(weights) {
            let (share, log) = (weight / total, rising.log_ages[step]);
            (first, second) = (first + share * log, second + share * log * log);
            self.exact[step] += failures * share;
        }
        self.open += failures * (second - first * first).max(0.0);
    }

    /// What the failures tell of the shape, as a share of what they would at exact ages and with all units alike: the
    /// information that is missing is the variance of what is not known (T. A. Louis, J. Roy. Statist. Soc. B 44 (1982) 226).
    fn told(&self, profile: &AgeProfile<'_>, at_risk: &[f64], shape: f64) -> f64 {
        let all =
            f64::from(profile.failures()) * Rising::new(&profile.at_risk.log_ages, shape).spread(at_risk);
        let within = profile.at_risk.spread_within_groups(&profile.by_group, shape);
        if all > 0.0 { ((within - self.open) / all).clamp(LEAST_KNOWN, 1.0) } else { 1.0 }
    }
}
