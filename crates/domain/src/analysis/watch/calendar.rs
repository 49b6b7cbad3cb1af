//! Weeks of looks, the delay of reports and the season, each from the whole field.

use chrono::Datelike as _;
use stats::reporting_delay::nowcast;

use super::Raw;
use crate::analysis::seen::Seen;
use crate::analysis::to_come::{LONGEST_DELAY, WEEKS_OF_DELAYS};
use crate::field::{Day, Field};
use crate::ledger::Ledger;

/// Reports a month of the year starts from, so that a few do not make a season.
const MONTH_WEIGHT: f64 = 20.0;

/// The whole weeks, Monday to Sunday, from the first exposure of which reports are kept to the date; a look is on its Sunday.
#[derive(Clone, Copy, Debug)]
pub(in crate::analysis) struct Weeks {
    first: i32,
    count: usize,
}

impl Weeks {
    pub(in crate::analysis) fn new(ledger: &Ledger) -> Self {
        let first = ledger.spells.iter().map(|spell| spell.from).min().unwrap_or(ledger.as_of);
        let first = first.week();
        let whole = Day(ledger.as_of.0 + 1).week() - first;
        Self { first, count: whole.max(0) as usize }
    }

    /// Those from the week of a day on, of these.
    pub(in crate::analysis) fn since(self, day: Day) -> Self {
        let first = day.week().max(self.first);
        let skipped = usize::try_from(first - self.first).unwrap_or(0);
        Self { first, count: self.count.saturating_sub(skipped) }
    }

    pub(super) fn len(&self) -> usize {
        self.count
    }

    /// The place of a day's week; `None` before the first and after the last.
    pub(super) fn find(&self, day: Day) -> Option<usize> {
        usize::try_from(day.week() - self.first).ok().filter(|&at| at < self.count)
    }

    /// How many of some days fall in each week.
    pub(super) fn count(&self, days: impl Iterator<Item = Day>) -> Vec<u32> {
        let mut counts = vec![0; self.count];
        days.filter_map(|day| self.find(day)).for_each(|at| counts[at] += 1);
        counts
    }

    pub(super) fn of_days(&self, days: &[Day]) -> Vec<usize> {
        days.iter().filter_map(|&day| self.find(day)).collect()
    }

    /// The Monday of a week.
    pub(super) fn monday(&self, at: usize) -> Day {
        Day::monday(self.first + i32::try_from(at).unwrap_or(0))
    }

    /// The day of a week's look.
    pub(super) fn look(&self, at: usize) -> Day {
        Day(self.monday(at).0 + 6)
    }
}

/// How late reports come, in weeks, from all reports of the field, corrected for those still in the post.
#[derive(Clone, Debug)]
pub(in crate::analysis) struct Delays(Vec<f64>);

impl Delays {
    pub(in crate::analysis) fn new(field: &Field, seen: &Seen, weeks: &Weeks) -> Self {
        let rows = weeks.len().min(WEEKS_OF_DELAYS);
        let columns = rows.min(LONGEST_DELAY + 1);
        let skipped = weeks.len() - rows;
        let mut triangle: Vec<Vec<u64>> = (0..rows).map(|t| vec![0; columns.min(rows - t)]).collect();
        for report in field.reports.values().filter(|r| r.received_on <= seen.as_of) {
            let (Some(found), Some(received)) = (weeks.find(report.found_on), weeks.find(report.received_on))
            else {
                continue;
            };
            if let Some(t) = found.checked_sub(skipped) {
                let late = received.saturating_sub(found).min(columns - 1);
                if let Some(n) = triangle[t].get_mut(late) {
                    *n += 1;
                }
            }
        }
        let cumulative =
            nowcast(&triangle, stats::Confidence::NINETY).map_or_else(|_| vec![1.0], |d| d.cumulative);
        let mut before = 0.0;
        Self(
            cumulative.into_iter().map(|by_then| by_then - std::mem::replace(&mut before, by_then)).collect(),
        )
    }

    /// Expected by the week of receipt, from expected by the week of failure.
    pub(super) fn received(&self, expected: &[f64]) -> Vec<f64> {
        let mut received = vec![0.0; expected.len()];
        for (found, &e) in expected.iter().enumerate().filter(|e| *e.1 > 0.0) {
            for (sum, share) in received[found..].iter_mut().zip(&self.0) {
                *sum += e * share;
            }
        }
        received
    }
}

/// How much more or less each week's month of the year brings, over all recurrences, age allowed for.
#[derive(Clone, Debug)]
pub(super) struct Season(Vec<f64>);

impl Season {
    pub(super) fn new(weeks: &Weeks, raws: &[&Raw]) -> Self {
        let months: Vec<usize> = (0..weeks.len()).map(|at| month(weeks, at)).collect();
        let mut sums = [(MONTH_WEIGHT, MONTH_WEIGHT); 12];
        for (found, expected) in raws.iter().filter_map(|raw| Some((&raw.found, &raw.own()?.expected))) {
            let (n, e): (f64, f64) = (found.iter().map(|&n| f64::from(n)).sum(), expected.iter().sum());
            let scale = if e > 0.0 { n / e } else { 0.0 };
            // Recent failures are not all reported, which is no season.
            for at in 0..weeks.len().saturating_sub(LONGEST_DELAY) {
                let sum = &mut sums[months[at]];
                *sum = (sum.0 + f64::from(found[at]), sum.1 + scale * expected[at]);
            }
        }
        let times = sums.map(|(n, e)| n / e);
        Self(months.into_iter().map(|month| times[month]).collect())
    }

    pub(super) fn applied(&self, expected: &[f64]) -> Vec<f64> {
        expected.iter().zip(&self.0).map(|(e, times)| e * times).collect()
    }
}

/// The month, from 0, in which most of a week lies.
fn month(weeks: &Weeks, at: usize) -> usize {
    Day(weeks.monday(at).0 + 3).date().month0() as usize
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_look_is_on_a_sunday_and_closes_a_whole_week() {
        let weeks = Weeks { first: Day(1).week(), count: 10 };
        assert_eq!(weeks.monday(0).date().weekday(), chrono::Weekday::Mon);
        assert_eq!(weeks.look(3).date().weekday(), chrono::Weekday::Sun);
        assert_eq!((weeks.find(weeks.monday(3)), weeks.find(weeks.look(3))), (Some(3), Some(3)));
        assert_eq!(weeks.find(Day(0)), None);
    }

    /// Half come in the week itself and half a week later: by hand 10, 10 + 5 less nothing, 5.
    #[test]
    fn what_is_received_follows_what_is_found_by_the_delay() {
        assert_eq!(Delays(vec![0.5, 0.5]).received(&[20.0, 10.0, 0.0]), [10.0, 15.0, 5.0]);
    }
}
