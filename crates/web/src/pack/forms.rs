//! How values stand in a cell: each form reads a filled cell and writes the same text back.

use std::fmt::{Display, Write};
use std::num::IntErrorKind;
use std::str::FromStr;

use chrono::{Datelike, NaiveDate};
use domain::words::UnknownWord;

/// The longest key taken, in characters; databases can't index endless ones.
const LONGEST_KEY: usize = 200;
/// The highest count taken, so that sums of counts stay within what databases hold.
const HIGHEST_COUNT: u32 = 1_000_000_000;
/// Dates before this are slips of the pen.
const FIRST_YEAR: i32 = 1900;

/// A way to write a value in a cell.
pub(crate) trait Form<T> {
    /// What a cell of this form holds, for messages.
    fn expected(&self) -> String;

    /// Reads a filled cell, or says what was expected.
    fn read(&self, text: &str) -> Result<T, String>;

    /// Writes a value so that it reads back equal.
    fn write(&self, value: &T, out: &mut String);
}

/// A code or number that names something; spaces around it are no part of it.
pub(crate) struct Key;
/// Free text, kept as it stands.
pub(crate) struct Text;
/// A word of a fixed list.
pub(crate) struct Word;
/// `yes` or `no`.
pub(crate) struct YesNo;
/// A day, ISO 8601.
pub(crate) struct Date;
/// A month, ISO 8601, as its first day.
pub(crate) struct Month;
/// A number with a decimal point.
pub(crate) struct Number;
/// A whole number from 0.
pub(crate) struct Count;
/// Codes with spaces between them.
pub(crate) struct Codes;
/// Phrases with semicolons between them.
pub(crate) struct Phrases;

impl Form<String> for Key {
    fn expected(&self) -> String {
        "expected a code or number".to_owned()
    }

    fn read(&self, text: &str) -> Result<String, String> {
        let key = text.trim();
        if key.chars().count() > LONGEST_KEY {
            return Err(format!("expected at most {LONGEST_KEY} characters"));
        }
        if key.chars().any(char::is_control) {
            return Err("expected one line without control characters".to_owned());
        }
        Ok(key.to_owned())
    }

    fn write(&self, value: &String, out: &mut String) {
        out.push_str(value);
    }
}

impl Form<String> for Text {
    fn expected(&self) -> String {
        "expected text".to_owned()
    }

    fn read(&self, text: &str) -> Result<String, String> {
        // One of the two databases can't keep it.
        if text.contains('\0') {
            return Err("expected text without a zero character (U+0000)".to_owned());
        }
        Ok(text.to_owned())
    }

    fn write(&self, value: &String, out: &mut String) {
        out.push_str(value);
    }
}

impl<T: FromStr<Err = UnknownWord> + Display> Form<T> for Word {
    fn expected(&self) -> String {
        match T::from_str("") {
            Ok(_) => "expected a word".to_owned(),
            Err(unknown) => format!("expected one of {}", unknown.accepted),
        }
    }

    fn read(&self, text: &str) -> Result<T, String> {
        text.trim().parse().map_err(|unknown: UnknownWord| format!("expected one of {}", unknown.accepted))
    }

    fn write(&self, value: &T, out: &mut String) {
        put(out, value);
    }
}

impl Form<bool> for YesNo {
    fn expected(&self) -> String {
        "expected yes or no".to_owned()
    }

    fn read(&self, text: &str) -> Result<bool, String> {
        match text.trim() {
            "yes" => Ok(true),
            "no" => Ok(false),
            _ => Err(self.expected()),
        }
    }

    fn write(&self, value: &bool, out: &mut String) {
        out.push_str(if *value { "yes" } else { "no" });
    }
}

impl Form<NaiveDate> for Date {
    fn expected(&self) -> String {
        "expected a date such as 2026-03-09".to_owned()
    }

    fn read(&self, text: &str) -> Result<NaiveDate, String> {
        day(text.trim()).ok_or_else(|| self.expected())
    }

    fn write(&self, value: &NaiveDate, out: &mut String) {
        put(out, value);
    }
}

impl Form<NaiveDate> for Month {
    fn expected(&self) -> String {
        "expected a month such as 2026-03".to_owned()
    }

    fn read(&self, text: &str) -> Result<NaiveDate, String> {
        let text = text.trim();
        let first = if text.len() == 7 { day(&format!("{text}-01")) } else { day(text) };
        first.filter(|d| d.day() == 1).ok_or_else(|| self.expected())
    }

    fn write(&self, value: &NaiveDate, out: &mut String) {
        put(out, value.format("%Y-%m"));
    }
}

impl Form<f64> for Number {
    fn expected(&self) -> String {
        "expected a number with a decimal point".to_owned()
    }

    fn read(&self, text: &str) -> Result<f64, String> {
        text.trim().parse().ok().filter(|x: &f64| x.is_finite()).ok_or_else(|| self.expected())
    }

    fn write(&self, value: &f64, out: &mut String) {
        put(out, value);
    }
}

impl Form<u32> for Count {
    fn expected(&self) -> String {
        "expected a whole number, 0 or more".to_owned()
    }

    fn read(&self, text: &str) -> Result<u32, String> {
        let too_many = || format!("expected at most {HIGHEST_COUNT}");
        match text.trim().parse::<u32>() {
            Ok(count) if count <= HIGHEST_COUNT => Ok(count),
            Ok(_) => Err(too_many()),
            Err(error) if *error.kind() == IntErrorKind::PosOverflow => Err(too_many()),
            Err(_) => Err(self.expected()),
        }
    }

    fn write(&self, value: &u32, out: &mut String) {
        put(out, value);
    }
}

impl Form<Vec<String>> for Codes {
    fn expected(&self) -> String {
        "expected codes with spaces between them".to_owned()
    }

    fn read(&self, text: &str) -> Result<Vec<String>, String> {
        Ok(text.split_whitespace().map(str::to_owned).collect())
    }

    fn write(&self, value: &Vec<String>, out: &mut String) {
        out.push_str(&value.join(" "));
    }
}

impl Form<Vec<String>> for Phrases {
    fn expected(&self) -> String {
        "expected phrases with semicolons between them".to_owned()
    }

    fn read(&self, text: &str) -> Result<Vec<String>, String> {
        Ok(text.split(';').map(str::trim).filter(|phrase| !phrase.is_empty()).map(str::to_owned).collect())
    }

    fn write(&self, value: &Vec<String>, out: &mut String) {
        out.push_str(&value.join("; "));
    }
}

fn put(out: &mut String, value: impl Display) {
    write!(out, "{value}").expect("writing to a string can't fail");
}

/// Reads `2026-03-09`; by hand, since a big pack has millions of dates.
fn day(text: &str) -> Option<NaiveDate> {
    let bytes: &[u8; 10] = text.as_bytes().try_into().ok()?;
    if bytes[4] != b'-' || bytes[7] != b'-' {
        return None;
    }
    let number = |range: std::ops::Range<usize>| {
        bytes[range]
            .iter()
            .try_fold(0u32, |sum, b| b.is_ascii_digit().then(|| sum * 10 + u32::from(b - b'0')))
    };
    let year = i32::try_from(number(0..4)?).ok()?;
    NaiveDate::from_ymd_opt(year, number(5..7)?, number(8..10)?).filter(|_| year >= FIRST_YEAR)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dates_are_iso_days_from_1900_on() {
        assert_eq!(Date.read(" 2026-02-28 "), Ok(NaiveDate::from_ymd_opt(2026, 2, 28).expect("a day")));
        for wrong in ["2026-02-30", "28.02.2026", "2026-2-28", "0206-02-28", "2026-02-28T00:00", "20260228"] {
            assert_eq!(Date.read(wrong), Err("expected a date such as 2026-03-09".to_owned()), "{wrong}");
        }
    }

    #[test]
    fn a_month_may_be_its_first_day_and_is_written_short() {
        let march = NaiveDate::from_ymd_opt(2026, 3, 1).expect("a day");
        assert_eq!((Month.read("2026-03"), Month.read("2026-03-01")), (Ok(march), Ok(march)));
        assert!(Month.read("2026-03-02").is_err());
        assert!(Month.read("2026-13").is_err());
        let mut out = String::new();
        Month.write(&march, &mut out);
        assert_eq!(out, "2026-03");
    }

    #[test]
    fn numbers_are_finite_and_written_shortest() {
        for wrong in ["1,5", "NaN", "inf", "1e999", "ten", "0x10"] {
            assert_eq!(
                Number.read(wrong),
                Err("expected a number with a decimal point".to_owned()),
                "{wrong}"
            );
        }
        for (value, text) in
            [(0.1, "0.1"), (1e21, "1000000000000000000000"), (5.0, "5"), (1.0 / 3.0, "0.3333333333333333")]
        {
            let mut out = String::new();
            Number.write(&value, &mut out);
            assert_eq!(out, text);
            assert_eq!(Number.read(&out), Ok(value));
        }
    }

    #[test]
    fn counts_are_whole_and_bounded() {
        assert_eq!(Count.read("12"), Ok(12));
        for wrong in ["-1", "1.5", "many"] {
            assert_eq!(Count.read(wrong), Err("expected a whole number, 0 or more".to_owned()), "{wrong}");
        }
        for many in ["2000000000", "999999999999", "4000000000000000000000"] {
            assert_eq!(Count.read(many), Err("expected at most 1000000000".to_owned()));
        }
    }

    #[test]
    fn text_is_kept_as_it_stands_but_for_a_character_that_no_one_writes() {
        assert_eq!(Text.read(" two\nlines "), Ok(" two\nlines ".to_owned()));
        assert!(Text.read("cut\0off").is_err());
    }

    #[test]
    fn keys_are_short_single_lines_without_spaces_around() {
        assert_eq!(Key.read(" L-12 "), Ok("L-12".to_owned()));
        assert!(Key.read(&"x".repeat(201)).is_err());
        assert!(Key.read("a\nb").is_err());
    }
}
