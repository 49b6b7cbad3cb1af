//! The clock of a report of danger, in words.

use chrono::{DateTime, TimeDelta, Utc};
use domain::danger::{self, Danger};
use serde::Serialize;

use crate::format;

/// Until when somebody has to look at a report, and whether nobody did.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Clock {
    /// What makes it dangerous: `near miss`.
    pub why: &'static str,
    /// Until when, or since when it is overdue, with the hour.
    pub says: String,
    /// By which rule.
    pub rule: String,
    /// Whether it is overdue.
    pub late: bool,
}

impl Clock {
    /// As it stands now.
    pub fn new(danger: Danger, now: DateTime<Utc>) -> Self {
        let late = danger.is_overdue(now);
        let due = format::moment(danger.due);
        Self {
            why: danger.why.word(),
            says: if late {
                format!("Overdue since {due}, by {}", hours((now - danger.due).num_hours()))
            } else {
                format!("Look at it by {due}, within {}", hours(begun_hours(danger.due - now)))
            },
            rule: format!("{}, {} ({})", danger.category.word(), danger.category.allows(), danger::SOURCE),
            late,
        }
    }
}

impl Clock {
    /// For the samples of pages.
    pub fn sample(late: bool) -> Self {
        let says = if late {
            "Overdue since 4 Mar 2026, 12:00 UTC, by 3 hours"
        } else {
            "Look at it by 4 Mar 2026, 12:00 UTC"
        };
        Self { why: "near miss", says: says.into(), rule: "category I, 24 hours".into(), late }
    }
}

/// Hours of a span, a begun one counted: what is left is told to the end of the hour that runs.
fn begun_hours(span: TimeDelta) -> i64 {
    (span.num_minutes() + 59) / 60
}

/// So many hours, at least one; days and hours where there are two days or more.
fn hours(hours: i64) -> String {
    let hours = hours.max(1).unsigned_abs();
    let of_hours = |hours| format::counted(hours, "hour", "hours");
    match (hours / 24, hours % 24) {
        (0 | 1, _) => of_hours(hours),
        (days, 0) => format::counted(days, "day", "days"),
        (days, rest) => format!("{} and {}", format::counted(days, "day", "days"), of_hours(rest)),
    }
}

#[cfg(test)]
mod tests {
    use chrono::TimeZone as _;
    use domain::danger::{Category, Why};

    use super::*;

    #[test]
    fn what_is_overdue_says_since_which_hour() {
        let due = Utc.with_ymd_and_hms(2026, 3, 4, 15, 7, 0).single().expect("a moment");
        let danger = Danger { why: Why::NearMiss, category: Category::One, due };
        let at = |minutes| Clock::new(danger, due + TimeDelta::minutes(minutes));
        assert_eq!(at(-90).says, "Look at it by 4 Mar 2026, 15:07 UTC, within 2 hours");
        assert_eq!((at(0).late, at(1).late), (false, true));
        assert_eq!(at(1).says, "Overdue since 4 Mar 2026, 15:07 UTC, by 1 hour");
        assert_eq!(at(24 * 60 + 20).says, "Overdue since 4 Mar 2026, 15:07 UTC, by 24 hours");
        assert_eq!(at(51 * 60).says, "Overdue since 4 Mar 2026, 15:07 UTC, by 2 days and 3 hours");
        assert_eq!(at(0).rule, "category I, 24 hours (AR 702-7 / DLAR 4155.24 of July 1993)");
    }
}
