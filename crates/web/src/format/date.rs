//! Dates with the month as a word, moments with their zone, and spans of days.

use chrono::{DateTime, Datelike as _, Months, NaiveDate, Timelike as _, Utc};

use super::number::counted;

const MONTHS: [&str; 12] =
    ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];

/// `3 Mar 2026`.
pub fn date(day: NaiveDate) -> String {
    format!("{} {}", day.day(), month(day))
}

/// `Mar 2026`.
pub fn month(day: NaiveDate) -> String {
    format!("{} {}", MONTHS[day.month0() as usize], day.year())
}

/// A day that is foretold, no finer than anybody can know it: the day within a year, then the month, beyond five years
/// the year alone.
pub fn foretold(day: NaiveDate, today: NaiveDate) -> String {
    let is_beyond = |months| today.checked_add_months(Months::new(months)).is_some_and(|end| day > end);
    match (is_beyond(12), is_beyond(60)) {
        (_, true) => day.year().to_string(),
        (true, false) => month(day),
        (false, false) => date(day),
    }
}

/// `3 Mar 2026, 14:05 UTC`.
pub fn moment(time: DateTime<Utc>) -> String {
    format!("{}, {:02}:{:02} UTC", date(time.date_naive()), time.hour(), time.minute())
}

/// How long from one day to another, in the largest unit that counts to two or more: `9 days`, `6 weeks`,
/// `14 months`, `2 years`. Backwards counts as no time.
pub fn span(from: NaiveDate, to: NaiveDate) -> String {
    let days = (to - from).num_days().max(0) as u64;
    match days {
        0 => "same day".to_owned(),
        1..=20 => counted(days, "day", "days"),
        21..=90 => counted((days + 3) / 7, "week", "weeks"),
        91..=729 => counted((days * 12 + 182) / 365, "month", "months"),
        _ => counted((days + 182) / 365, "year", "years"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    #[test]
    fn a_date_has_its_month_as_a_word_and_no_leading_nought() {
        assert_eq!(date(day("2026-03-03")), "3 Mar 2026");
        assert_eq!(date(day("2025-12-31")), "31 Dec 2025");
    }

    #[test]
    fn a_day_foretold_loses_its_day_after_a_year_and_its_month_after_five() {
        let said = |text| foretold(day(text), day("2026-03-03"));
        assert_eq!((said("2027-03-03"), said("2027-03-04")), ("3 Mar 2027".into(), "Mar 2027".into()));
        assert_eq!((said("2031-03-03"), said("2038-06-16")), ("Mar 2031".into(), "2038".into()));
    }

    #[test]
    fn a_moment_says_its_zone() {
        let time = day("2026-03-03").and_hms_opt(4, 5, 59).unwrap().and_utc();
        assert_eq!(moment(time), "3 Mar 2026, 04:05 UTC");
    }

    #[test]
    fn a_span_uses_the_largest_unit_that_counts() {
        for (to, words) in [
            ("2026-03-03", "same day"),
            ("2026-03-04", "1 day"),
            ("2026-03-12", "9 days"),
            ("2026-04-14", "6 weeks"),
            ("2027-05-03", "14 months"),
            ("2028-04-03", "2 years"),
            ("2025-03-03", "same day"),
        ] {
            assert_eq!(span(day("2026-03-03"), day(to)), words);
        }
    }
}
