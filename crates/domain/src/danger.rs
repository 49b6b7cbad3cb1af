//! Reports of danger, and the time within which somebody has to look at them.

use chrono::{DateTime, Days, NaiveTime, Utc};

use crate::report::{FoundWhen, Harm, Report};

/// The kind code of quick-release cables and pull handles.
pub const QUICK_RELEASE: &str = "QRC";

/// Where categories and times are from.
pub const SOURCE: &str = "AR 702-7 / DLAR 4155.24 of July 1993";

/// How soon somebody has to look.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Category {
    /// It may cause death or injury: within 24 hours.
    One,
    /// Everything else: within three calendar days.
    Two,
}

impl Category {
    /// As the source names it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::One => "category I",
            Self::Two => "category II",
        }
    }

    /// The time it allows.
    pub const fn allows(self) -> &'static str {
        match self {
            Self::One => "24 hours",
            Self::Two => "3 calendar days",
        }
    }

    fn due(self, arrived: DateTime<Utc>) -> DateTime<Utc> {
        match self {
            Self::One => arrived + chrono::TimeDelta::hours(24),
            Self::Two => midnight_after(arrived, 3),
        }
    }
}

/// What makes a report dangerous.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Why {
    /// Somebody was hurt.
    Hurt,
    /// Somebody could have been.
    NearMiss,
    /// A release is said to have failed.
    Release,
}

impl Why {
    /// In words.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Hurt => "somebody hurt",
            Self::NearMiss => "near miss",
            Self::Release => "failed release",
        }
    }
}

/// The clock of a report of danger.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Danger {
    /// What makes it one.
    pub why: Why,
    /// How soon somebody has to look.
    pub category: Category,
    /// Until when.
    pub due: DateTime<Utc>,
}

impl Danger {
    /// Whether nobody looked in time.
    pub fn is_overdue(&self, now: DateTime<Utc>) -> bool {
        now > self.due
    }
}

/// The clock of a report, where it is one of danger.
///
/// `failed_kind` is the kind code of the part, where the reporter named it; `sent` is when it arrived, where that is on
/// record, else its day counts to the end. The source counts from the discovery to the report; here it is from the arrival
/// to somebody's look at it. A release that failed where nobody depended on it, at an inspection or while it was
/// unpacked, washed, mended or turned in, is of the second category; in doubt it is of the first, as the source has it.
pub fn of(report: &Report, failed_kind: Option<&str>, sent: Option<DateTime<Utc>>) -> Option<Danger> {
    let why = match report.harm {
        Some(Harm::Injury) => Why::Hurt,
        Some(Harm::NearMiss) => Why::NearMiss,
        Some(Harm::None) | None if failed_kind == Some(QUICK_RELEASE) => Why::Release,
        Some(Harm::None) | None => return None,
    };
    let at_work = match report.found_when {
        None | Some(FoundWhen::InUse | FoundWhen::Fitting) => true,
        Some(
            FoundWhen::OnReceipt
            | FoundWhen::AfterWash
            | FoundWhen::InRepair
            | FoundWhen::TurnIn
            | FoundWhen::Inspection,
        ) => false,
    };
    let category = if why == Why::Release && !at_work { Category::Two } else { Category::One };
    let arrived =
        sent.unwrap_or_else(|| midnight_after(report.received_on.and_time(NaiveTime::MIN).and_utc(), 0));
    Some(Danger { why, category, due: category.due(arrived) })
}

/// The end of the day that is so many days after that of a moment, in UTC.
fn midnight_after(moment: DateTime<Utc>, days: u64) -> DateTime<Utc> {
    let day = moment.date_naive();
    day.checked_add_days(Days::new(days + 1)).unwrap_or(day).and_time(NaiveTime::MIN).and_utc()
}

#[cfg(test)]
mod tests {
    use chrono::{NaiveDate, TimeZone as _};

    use super::*;

    fn report(harm: Harm, found_when: Option<FoundWhen>) -> Report {
        let day = NaiveDate::from_ymd_opt(2026, 5, 4).expect("a date");
        Report { found_when, harm: Some(harm), ..Report::bare("R1", day, "COVE-2", "RC-100") }
    }

    fn at(day: u32, hour: u32) -> DateTime<Utc> {
        Utc.with_ymd_and_hms(2026, 5, day, hour, 0, 0).single().expect("a moment")
    }

    #[test]
    fn whoever_was_or_could_have_been_hurt_is_looked_at_within_a_day() {
        for (harm, why) in [(Harm::Injury, Why::Hurt), (Harm::NearMiss, Why::NearMiss)] {
            // Wherever it was found: somebody could have been hurt.
            let danger = of(&report(harm, Some(FoundWhen::Inspection)), Some("ZIP"), Some(at(4, 15)));
            assert_eq!(danger, Some(Danger { why, category: Category::One, due: at(5, 15) }));
        }
        assert_eq!(of(&report(Harm::None, None), Some("ZIP"), Some(at(4, 15))), None);
        assert_eq!(of(&report(Harm::None, None), None, Some(at(4, 15))), None);
    }

    #[test]
    fn a_failed_release_is_of_the_first_category_unless_nobody_depended_on_it() {
        let due = |found| {
            of(&report(Harm::None, found), Some("QRC"), Some(at(4, 15))).map(|d| (d.why, d.category, d.due))
        };
        let first = Some((Why::Release, Category::One, at(5, 15)));
        assert_eq!([due(None), due(Some(FoundWhen::InUse))], [first, first]);
        // Three calendar days after the fourth: the seventh counts to its end.
        assert_eq!(due(Some(FoundWhen::OnReceipt)), Some((Why::Release, Category::Two, at(8, 0))));
    }

    #[test]
    fn a_report_without_an_hour_has_its_day() {
        let danger = of(&report(Harm::Injury, None), None, None).expect("danger");
        assert_eq!(danger.due, at(6, 0));
        assert!(!danger.is_overdue(at(6, 0)) && danger.is_overdue(at(6, 1)));
    }
}
