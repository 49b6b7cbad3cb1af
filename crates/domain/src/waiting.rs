//! How long units wait for the first thing they hear about a report, and for its final answer.

use chrono::{DateTime, Months, Utc};
use stats::Confidence;
use stats::lifetimes::{Life, Lifetimes};
use stats::survival::curve;

/// Months that are looked at.
pub const MONTHS: u32 = 12;

/// One report: when it arrived, and when its unit first heard of it and got its final answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Heard {
    /// When it arrived.
    pub sent: DateTime<Utc>,
    /// When the unit could first read what a person asked, found or decided.
    pub first: Option<DateTime<Utc>>,
    /// When it had its final answer, or the reason why its report was set aside.
    pub last: Option<DateTime<Utc>>,
}

/// Days until something, over several reports of which some still wait.
#[derive(Clone, Debug, PartialEq)]
pub struct Days {
    /// Reports.
    pub reports: usize,
    /// Of these, how many still wait.
    pub waiting: usize,
    /// Since when the one waits that has waited longest.
    pub oldest: Option<DateTime<Utc>>,
    /// The median of Kaplan and Meier; `None` where half of them haven't come to it yet.
    pub median: Option<f64>,
    /// 95 % limits of the median; the upper one is `None` where it can't be told yet.
    pub limits: Option<(f64, Option<f64>)>,
}

/// Days to the first and to the final answer.
#[derive(Clone, Debug, PartialEq)]
pub struct DaysToAnswer {
    /// To the first.
    pub first: Days,
    /// To the final one.
    pub last: Days,
}

/// Whether a report that arrived at `sent` is among those that are looked at.
pub fn since(now: DateTime<Utc>) -> DateTime<Utc> {
    now.checked_sub_months(Months::new(MONTHS)).unwrap_or(DateTime::<Utc>::MIN_UTC)
}

/// Days to the first and the final answer of reports that arrived within [`MONTHS`] before `now`. Reports that still wait
/// count with the time they have waited, so that a heap of old ones can't hide behind a few quick answers.
pub fn days_to_answer(heard: &[Heard], now: DateTime<Utc>) -> DaysToAnswer {
    let counted: Vec<Heard> =
        heard.iter().copied().filter(|one| one.sent >= since(now) && one.sent <= now).collect();
    DaysToAnswer { first: days(&counted, now, |one| one.first), last: days(&counted, now, |one| one.last) }
}

fn days(counted: &[Heard], now: DateTime<Utc>, until: impl Fn(&Heard) -> Option<DateTime<Utc>>) -> Days {
    let span = |from: DateTime<Utc>, to: DateTime<Utc>| {
        // What comes within the minute of the arrival has waited a minute: lives are longer than nothing.
        let minutes = (to - from).num_minutes().max(1);
        f64::from(i32::try_from(minutes).unwrap_or(i32::MAX)) / (24.0 * 60.0)
    };
    let lives = counted.iter().map(|one| {
        until(one).map_or_else(
            || Life::survived(span(one.sent, now)),
            |answered| Life::failed(span(one.sent, answered)),
        )
    });
    let waiting = counted.iter().filter(|one| until(one).is_none());
    let found = Lifetimes::new(lives).and_then(|lives| curve(&lives)).ok();
    Days {
        reports: counted.len(),
        waiting: waiting.clone().count(),
        oldest: waiting.map(|one| one.sent).min(),
        median: found.as_ref().and_then(stats::survival::Curve::median),
        limits: found.as_ref().and_then(|curve| curve.median_limits(Confidence::NINETY_FIVE)),
    }
}

#[cfg(test)]
mod tests {
    use chrono::{TimeDelta, TimeZone as _};

    use super::*;

    fn now() -> DateTime<Utc> {
        Utc.with_ymd_and_hms(2026, 5, 31, 0, 0, 0).single().expect("a moment")
    }

    fn heard(days_ago: i64, first: Option<i64>, last: Option<i64>) -> Heard {
        let sent = now() - TimeDelta::days(days_ago);
        let after = |days: Option<i64>| days.map(|days| sent + TimeDelta::days(days));
        Heard { sent, first: after(first), last: after(last) }
    }

    #[test]
    fn the_reports_that_still_wait_make_the_median_longer() {
        let quick =
            [heard(60, Some(1), Some(10)), heard(50, Some(2), Some(20)), heard(40, Some(3), Some(30))];
        let all = days_to_answer(&quick, now());
        assert_eq!((all.first.median, all.first.waiting, all.first.oldest), (Some(2.0), 0, None));
        let mut more = quick.to_vec();
        more.extend([heard(300, None, None), heard(200, None, None)]);
        let all = days_to_answer(&more, now());
        assert_eq!((all.first.reports, all.first.waiting, all.first.median), (5, 2, Some(3.0)));
        assert_eq!(all.first.oldest, Some(now() - TimeDelta::days(300)));
        let (low, high) = all.first.limits.expect("limits");
        assert!(low <= 3.0 && high.is_none(), "{low} {high:?}");
    }

    #[test]
    fn what_half_of_them_still_wait_for_has_no_median() {
        let all = days_to_answer(&[heard(60, Some(1), None), heard(50, Some(2), None)], now());
        assert_eq!(
            (all.last.reports, all.last.waiting, all.last.median, all.last.limits),
            (2, 2, None, None)
        );
    }

    #[test]
    fn reports_of_another_year_are_left_out_and_none_is_none() {
        let all = days_to_answer(&[heard(400, Some(1), Some(2))], now());
        assert_eq!((all.first.reports, all.first.median), (0, None));
    }
}
