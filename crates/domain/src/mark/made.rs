//! The date on a mark: four notations, some of them without a day.

use chrono::{Datelike as _, NaiveDate};

/// When an item was made, to the day or to the month.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Made {
    /// The year.
    pub year: i32,
    /// The month, 1 to 12.
    pub month: u32,
    /// The day, where it was told.
    pub day: Option<u32>,
}

impl Made {
    /// The day, where it was told.
    pub fn date(self) -> Option<NaiveDate> {
        NaiveDate::from_ymd_opt(self.year, self.month, self.day?)
    }
}

/// In which order a date's digits stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Order {
    /// YYYYMMDD.
    YearMonthDay,
    /// DDMMYYYY.
    DayMonthYear,
    /// YYMMDD, the day may be 00 for "not told".
    ShortYearMonthDay,
}

/// Reads a date; `None` where it is none.
pub(super) fn read(text: &str, order: Order, this_year: i32) -> Option<Made> {
    let length = if order == Order::ShortYearMonthDay { 6 } else { 8 };
    if text.len() != length || !text.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    let number = |from: usize, to: usize| text[from..to].parse::<u32>().ok();
    let (year, month, day) = match order {
        Order::YearMonthDay => (number(0, 4)?.cast_signed(), number(4, 6)?, number(6, 8)?),
        Order::DayMonthYear => (number(4, 8)?.cast_signed(), number(2, 4)?, number(0, 2)?),
        Order::ShortYearMonthDay => {
            (full_year(number(0, 2)?.cast_signed(), this_year), number(2, 4)?, number(4, 6)?)
        }
    };
    if day == 0 && order == Order::ShortYearMonthDay {
        NaiveDate::from_ymd_opt(year, month, 1)?;
        return Some(Made { year, month, day: None });
    }
    let date = NaiveDate::from_ymd_opt(year, month, day)?;
    Some(Made { year: date.year(), month: date.month(), day: Some(date.day()) })
}

/// The century of a two-digit year: 51 and more ahead is the last century, 50 and more behind the next
/// (GS1 General Specifications, from memory).
fn full_year(two_digits: i32, this_year: i32) -> i32 {
    let century = this_year - this_year.rem_euclid(100);
    match two_digits - this_year.rem_euclid(100) {
        51.. => century - 100 + two_digits,
        ..=-50 => century + 100 + two_digits,
        _ => century + two_digits,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_digit_years_are_taken_to_the_nearer_century() {
        assert_eq!(full_year(24, 2026), 2024);
        assert_eq!(full_year(76, 2026), 2076, "50 ahead is still this century");
        assert_eq!(full_year(77, 2026), 1977, "51 ahead is the last century");
        assert_eq!(full_year(10, 2060), 2110, "50 behind is the next century");
        assert_eq!(full_year(11, 2060), 2011);
    }

    #[test]
    fn a_day_that_is_not_in_the_calendar_is_no_date() {
        assert_eq!(read("20230229", Order::YearMonthDay, 2026), None);
        assert_eq!(
            read("29022024", Order::DayMonthYear, 2026).and_then(Made::date),
            NaiveDate::from_ymd_opt(2024, 2, 29)
        );
        assert_eq!(read("241300", Order::ShortYearMonthDay, 2026), None);
    }
}
