//! The span of days over which failures and exposure are set against each other.

use crate::field::{DAYS_PER_YEAR, Day, Field};

/// Reports that the time before the first report should have brought, were it like the rest, before it counts as
/// time without records.
const MISSED_REPORTS: f64 = 20.0;

/// The share of reports that must have arrived for a day to count.
const ARRIVED: f64 = 0.95;

/// Longest delay allowed for, in days.
const LONGEST_DELAY: i32 = 180;

/// From the day on which reporting began to the last for which nearly all reports have arrived.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Window {
    pub(super) from: Day,
    pub(super) to: Day,
    /// Item-years of service before it, and in all, where the time before the first report counts as time without records.
    pub(super) without_records: Option<(u64, u64)>,
}

impl Window {
    /// The window of a field, from all its reports.
    pub(super) fn new(field: &Field, item_days_until: impl Fn(Day) -> f64, as_of: Day) -> Self {
        let seen = || field.reports.values().filter(|r| r.received_on <= as_of);
        let count = seen().count();
        let Some(first) = seen().map(|r| r.found_on).min() else {
            return Self::until(as_of);
        };
        let (before, all) = (item_days_until(first), item_days_until(as_of));
        let missed = count as f64 * before / (all - before).max(1.0);
        let is_late = missed >= MISSED_REPORTS;
        let from = if is_late { first } else { Self::until(as_of).from };
        let years = |days: f64| (days / DAYS_PER_YEAR).round() as u64;
        let without_records = is_late.then(|| (years(before), years(all)));
        let mut delays: Vec<i32> =
            seen().map(|r| (r.received_on.0 - r.found_on.0).clamp(0, LONGEST_DELAY)).collect();
        let at = ((ARRIVED * count as f64) as usize).min(count - 1);
        let delay = *delays.select_nth_unstable(at).1;
        Self { from, to: Day(as_of.0 - delay).max(from), without_records }
    }

    /// All days until one.
    pub(super) fn until(to: Day) -> Self {
        Self::between(Day(i32::MIN / 2), to)
    }

    /// The days from one to another.
    pub(super) fn between(from: Day, to: Day) -> Self {
        Self { from, to, without_records: None }
    }

    pub(super) fn has(self, day: Day) -> bool {
        self.from <= day && day <= self.to
    }
}
