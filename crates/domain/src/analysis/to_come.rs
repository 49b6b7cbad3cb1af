//! Reports still to come on failures that have happened: recent weeks, corrected for the delay of reporting.
//!
//! Of the failures of a week a share `F` is reported by now, and a share `C` is reported and sorted. With `n` sorted
//! reports of recent weeks, and a rate that is steady over these, `n sum(1 - F) / sum(C)` are still to come. Their
//! number is a Poisson count whose mean rests on `n` reports: a negative binomial of shape `n + 1/2` (Jeffreys),
//! widened by what is not known of the delays. Weeks are counted back from the date.

use stats::forecast::MixedCount;
use stats::reporting_delay::nowcast;

use super::forecast::RISK;
use super::seen::{Seen, comparable, is_unsorted};
use crate::field::{Day, Field, ReportId};

/// Reports later than this many weeks are taken as that late.
pub(super) const LONGEST_DELAY: usize = 39;
/// Delays are taken from failures of so many weeks.
pub(super) const WEEKS_OF_DELAYS: usize = 156;
/// Weeks are recent until so large a share of their reports has come.
const NEARLY_ALL: f64 = 0.98;
/// At most so many.
const MOST_WEEKS: usize = 13;

/// Reports on failures of recent weeks that have not come yet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ToCome {
    /// Weeks that count as recent.
    pub weeks: u32,
    /// Reports on failures of these, received and sorted.
    pub reports: u32,
    /// Reports to come on failures of these.
    pub expected: f64,
    /// 5 % bound.
    pub low: u64,
    /// 95 % bound.
    pub high: u64,
}

/// How late reports come and how soon they are sorted, over the whole field.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Arrivals {
    as_of: Day,
    /// Weeks that count as recent.
    weeks: usize,
    /// Over these: the share of a week's failures that is reported and sorted, and the share that is not reported.
    sorted: f64,
    late: f64,
    /// Relative variance of the ratio of the two, for what is not known of the delays.
    open: f64,
}

/// Weeks from a day to the date.
fn weeks_ago(as_of: Day, day: Day) -> Option<usize> {
    usize::try_from(as_of.0 - day.0).ok().map(|days| days / 7)
}

impl Arrivals {
    pub(super) fn new(field: &Field, seen: &Seen) -> Self {
        let mut by_delay = vec![vec![0_u64; LONGEST_DELAY + 1]; WEEKS_OF_DELAYS];
        let mut sorting = [(1.0, 1.0); MOST_WEEKS];
        for report in field.reports.values().filter(|report| report.received_on <= seen.as_of) {
            let ago = |day| weeks_ago(seen.as_of, day);
            let (Some(found), Some(received)) = (ago(report.found_on), ago(report.received_on)) else {
                continue;
            };
            if let Some((sorted, all)) = sorting.get_mut(received) {
                *sorted += f64::from(u8::from(!is_unsorted(report)));
                *all += 1.0;
            }
            if let Some(row) = by_delay.get_mut(found) {
                row[found.saturating_sub(received).min(LONGEST_DELAY)] += 1;
            }
        }
        Self::of(seen.as_of, by_delay, &sorting)
    }

    /// From reports by weeks ago and delay, and the sorted among the reports received so many weeks ago.
    fn of(as_of: Day, mut by_delay: Vec<Vec<u64>>, sorting: &[(f64, f64)]) -> Self {
        let mut arrivals = Self { as_of, weeks: 0, sorted: 0.0, late: 0.0, open: 0.0 };
        while by_delay.last().is_some_and(|row| row.iter().all(|&n| n == 0)) {
            by_delay.pop();
        }
        let oldest = by_delay.len().min(LONGEST_DELAY + 1);
        by_delay.iter_mut().enumerate().for_each(|(ago, row)| row.truncate((ago + 1).min(oldest)));
        by_delay.reverse();
        let Ok(delays) = nowcast(&by_delay, stats::Confidence::NINETY) else { return arrivals };
        let reported = &delays.cumulative;
        arrivals.weeks = reported.iter().take(sorting.len()).take_while(|share| **share < NEARLY_ALL).count();
        let mut doubt = 0.0;
        for ago in 0..arrivals.weeks {
            arrivals.late += 1.0 - reported[ago];
            doubt += reported[ago] * delays.variance_of_log[ago].sqrt();
            arrivals.sorted += (0..=ago)
                .map(|late| {
                    let share = reported[late] - late.checked_sub(1).map_or(0.0, |before| reported[before]);
                    let (sorted, all) = sorting[ago - late];
                    share * sorted / all
                })
                .sum::<f64>();
        }
        // The shares of neighbouring weeks are wrong together.
        if arrivals.late > 0.0 && arrivals.sorted > 0.0 {
            arrivals.open = (doubt / arrivals.late + doubt / arrivals.sorted).powi(2);
        }
        arrivals
    }

    /// What is to come of some reports' recurrence; `None` where no report is late.
    pub(super) fn to_come(&self, field: &Field, reports: &[ReportId]) -> Option<ToCome> {
        let is_recent = |&id: &ReportId| {
            let report = &field.reports[id];
            comparable(report) && weeks_ago(self.as_of, report.found_on).is_some_and(|ago| ago < self.weeks)
        };
        // Bounded by the number of a recurrence's reports.
        self.after(reports.iter().filter(|id| is_recent(id)).count() as u32)
    }

    fn after(&self, reports: u32) -> Option<ToCome> {
        let known = f64::from(reports) + 0.5;
        let times = self.late / self.sorted;
        let count = MixedCount::new(known * times, (known.recip() + self.open).recip()).ok()?;
        Some(ToCome {
            weeks: u32::try_from(self.weeks).ok().filter(|weeks| *weeks > 0)?,
            reports,
            expected: f64::from(reports) * times,
            low: count.lower(RISK),
            high: count.upper(1.0 - RISK),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Four failures a week, half of them reported at once and half a week later; of the last week's reports half are sorted.
    fn arrivals(by_week: u64) -> Arrivals {
        let mut by_delay = vec![vec![0; LONGEST_DELAY + 1]; 100];
        for row in &mut by_delay {
            row[..2].fill(by_week / 2);
        }
        let mut sorting = [(10.0, 10.0); MOST_WEEKS];
        sorting[0].0 = 5.0;
        Arrivals::of(Day(1000), by_delay, &sorting)
    }

    /// By hand: of the last week half is reported and a quarter reported and sorted, so that one sorted report stands for
    /// two that are to come.
    #[test]
    fn half_of_the_last_week_is_still_to_come() {
        let arrivals = arrivals(4000);
        assert_eq!(arrivals.weeks, 1);
        let found = arrivals.after(3).expect("late ones");
        assert!((found.expected - 6.0).abs() < 0.05, "{found:?}");
        assert!(found.low >= 1 && (12..=18).contains(&found.high), "{found:?}");
    }

    #[test]
    fn what_rests_on_few_delays_is_less_sure() {
        let (few, many) = (arrivals(4).after(40).expect("late"), arrivals(4000).after(40).expect("late"));
        assert!(few.high > many.high && few.low <= many.low, "{few:?} {many:?}");
    }

    #[test]
    fn where_no_report_is_late_nothing_is_to_come() {
        let at_once = vec![vec![4; 1]; 10].into_iter().map(|mut row| {
            row.resize(LONGEST_DELAY + 1, 0);
            row
        });
        assert_eq!(Arrivals::of(Day(1000), at_once.collect(), &[(1.0, 1.0); MOST_WEEKS]).after(4), None);
    }
}
