//! How long the contact details of a report are kept.

use chrono::{DateTime, Days, Utc};

/// Days that contact details are kept after the final answer, unless the settings say otherwise.
pub const KEPT_DAYS: u32 = 180;

/// When the contact details of a report are deleted: so many days after the last answer, or after they were given where
/// there is none. A hold puts it off for as long as it stands.
pub fn deleted_at(given: DateTime<Utc>, last_answer: Option<DateTime<Utc>>, days: u32) -> DateTime<Utc> {
    let from = last_answer.map_or(given, |answer| answer.max(given));
    from.checked_add_days(Days::new(days.into())).unwrap_or(DateTime::<Utc>::MAX_UTC)
}

#[cfg(test)]
mod tests {
    use chrono::TimeZone as _;

    use super::*;

    fn on(month: u32, day: u32) -> DateTime<Utc> {
        Utc.with_ymd_and_hms(2026, month, day, 8, 0, 0).single().expect("a moment")
    }

    #[test]
    fn they_are_kept_for_days_after_the_last_answer_or_the_report() {
        assert_eq!(deleted_at(on(1, 1), None, 30), on(1, 31));
        assert_eq!(deleted_at(on(1, 1), Some(on(2, 1)), 28), on(3, 1));
        assert_eq!(deleted_at(on(2, 1), Some(on(1, 1)), 28), on(3, 1));
    }
}
