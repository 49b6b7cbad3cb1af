//! The span of days over which failures and exposure are set against each other.

use std::collections::BTreeMap;

use super::spread::take_one;
use crate::field::{DAYS_PER_YEAR, Day, ReportFacts};

/// Reports that the time before the first report should have brought, were it like the rest, before it counts as
/// time without records.
const MISSED_REPORTS: f64 = 20.0;

/// The share of reports that must have arrived for a day to count.
const ARRIVED: f64 = 0.95;

/// Longest delay allowed for, in days.
const LONGEST_DELAY: i32 = 180;

/// How late the reports of a date came and which days they tell of: all that a window hangs on, so that it follows each report
/// at once.
#[derive(Clone, Debug, Default)]
pub(super) struct Arrived {
    /// By delay in days; empty before any has come.
    by_delay: Vec<u32>,
    /// Reports told of soon enough, by the day they tell of.
    by_day_found: BTreeMap<Day, u32>,
    /// The same of those told longer after than the longest delay: history, or a mistyped day.
    told_late: BTreeMap<Day, u32>,
    count: u32,
}

impl Arrived {
    pub(super) fn add(&mut self, report: &ReportFacts) {
        self.count += 1;
        self.by_delay.resize(LONGEST_DELAY as usize + 1, 0);
        self.by_delay[delay(report)] += 1;
        *self.days(report).entry(report.found_on).or_default() += 1;
    }

    pub(super) fn take_off(&mut self, report: &ReportFacts) {
        self.count -= 1;
        self.by_delay[delay(report)] -= 1;
        take_one(self.days(report), report.found_on);
    }

    fn days(&mut self, report: &ReportFacts) -> &mut BTreeMap<Day, u32> {
        let is_late = report.received_on.0 - report.found_on.0 > LONGEST_DELAY;
        if is_late { &mut self.told_late } else { &mut self.by_day_found }
    }

    /// The first day told of. A few reports told long after don't tell that others were told of at the time.
    fn first(&self) -> Option<Day> {
        let soon = self.by_day_found.keys().next().copied();
        let late = self.told_late.keys().next().copied();
        match (soon, late) {
            (Some(soon), Some(late)) if f64::from(self.told_before(soon)) >= MISSED_REPORTS => Some(late),
            (soon, late) => soon.or(late),
        }
    }

    /// Reports that tell, long after, of a time before a day.
    fn told_before(&self, day: Day) -> u32 {
        self.told_late.range(..day).map(|(_, n)| n).sum()
    }

    /// The delay within which so large a share has come.
    fn within(&self, share: f64) -> i32 {
        let at = (share * f64::from(self.count)) as u32;
        let mut so_far = 0;
        let reached = |(_, n): &(i32, &u32)| {
            so_far += **n;
            so_far > at
        };
        (0..).zip(&self.by_delay).find(reached).map_or(0, |(days, _)| days)
    }
}

fn delay(report: &ReportFacts) -> usize {
    (report.received_on.0 - report.found_on.0).clamp(0, LONGEST_DELAY) as usize
}

/// From the day on which reporting began to the last for which nearly all reports have arrived.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Window {
    pub(super) from: Day,
    pub(super) to: Day,
    /// What was before it, where that counts as time without records.
    pub(super) without_records: Option<WithoutRecords>,
}

/// The time before reporting began.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct WithoutRecords {
    /// Item-years of service in it.
    pub(super) item_years: u64,
    /// Item-years in all.
    pub(super) of: u64,
    /// Reports that tell of it nevertheless.
    pub(super) reports: u32,
}

impl Window {
    /// The window of a field, from all its reports.
    pub(super) fn new(arrived: &Arrived, item_days_until: impl Fn(Day) -> f64, as_of: Day) -> Self {
        let Some(first) = arrived.first() else {
            return Self::until(as_of);
        };
        let (before, all) = (item_days_until(first), item_days_until(as_of));
        let missed = f64::from(arrived.count) * before / (all - before).max(1.0);
        let is_late = missed >= MISSED_REPORTS;
        let from = if is_late { first } else { Self::until(as_of).from };
        let years = |days: f64| (days / DAYS_PER_YEAR).round() as u64;
        let without_records = is_late.then(|| WithoutRecords {
            item_years: years(before),
            of: years(all),
            reports: arrived.told_before(first),
        });
        Self { from, to: Day(as_of.0 - arrived.within(ARRIVED)).max(from), without_records }
    }

    /// All days until one.
    pub(super) fn until(to: Day) -> Self {
        Self::between(Day(i32::MIN / 2), to)
    }

    /// The days from one to another.
    pub(super) fn between(from: Day, to: Day) -> Self {
        Self { from, to, without_records: None }
    }

    /// The same up to a date: also the days for which not nearly all reports have arrived.
    pub(super) fn recorded(self, as_of: Day) -> Self {
        Self::between(self.from, as_of)
    }

    pub(super) fn has(self, day: Day) -> bool {
        self.from <= day && day <= self.to
    }
}
