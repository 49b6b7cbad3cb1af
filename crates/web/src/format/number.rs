//! Plain numbers: thousands set apart, and as many digits as mean something.

/// `3,914`.
pub fn count(number: u64) -> String {
    thousands(&number.to_string())
}

/// `1 report`, `9 reports`: a count with its noun.
pub fn counted(number: u64, one: &str, many: &str) -> String {
    format!("{} {}", count(number), if number == 1 { one } else { many })
}

/// A number with a fixed count of decimals: `1,234.50`. What can't be counted is said to be so.
pub fn decimals(number: f64, places: usize) -> String {
    if !number.is_finite() {
        return "not known".to_owned();
    }
    let text = format!("{:.places$}", number.abs());
    let negative = number < 0.0 && text.bytes().any(|byte| matches!(byte, b'1'..=b'9'));
    let (whole, fraction) = text.split_once('.').unwrap_or((&text, ""));
    let mut out = if negative { String::from("\u{2212}") } else { String::new() };
    out.push_str(&thousands(whole));
    if !fraction.is_empty() {
        out.push('.');
        out.push_str(fraction);
    }
    out
}

/// A number with a fixed count of meaning digits, its whole part never cut: `2.3`, `0.051`, `1,234`.
pub fn significant(number: f64, digits: u8) -> String {
    if number == 0.0 || !number.is_finite() {
        return decimals(number, 0);
    }
    // Rounding may add a digit in front (9.96 -> 10), so the place is taken from the rounded number.
    let exponential = format!("{:.*e}", usize::from(digits).saturating_sub(1), number.abs());
    let exponent: i32 =
        exponential.split_once('e').and_then(|(_, power)| power.parse().ok()).unwrap_or_default();
    let places = (i32::from(digits) - 1 - exponent).max(0);
    decimals(number, places as usize)
}

/// A share of one as `23.5 %`, with the decimals asked for.
pub fn percent(share: f64, places: usize) -> String {
    format!("{}\u{a0}%", decimals(share * 100.0, places))
}

/// The probability of a guess in whole percent. None is said to be certain or impossible: `over 99 %`, `under 1 %`.
pub fn chance(probability: f64) -> String {
    match decimals(probability * 100.0, 0).as_str() {
        "0" => "under 1\u{a0}%".to_owned(),
        "100" => "over 99\u{a0}%".to_owned(),
        whole => format!("{whole}\u{a0}%"),
    }
}

fn thousands(whole: &str) -> String {
    let mut out = String::with_capacity(whole.len() * 4 / 3);
    for (at, digit) in whole.chars().enumerate() {
        if at > 0 && (whole.len() - at).is_multiple_of(3) {
            out.push(',');
        }
        out.push(digit);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thousands_are_set_apart() {
        for (number, words) in [(0, "0"), (999, "999"), (3914, "3,914"), (1_000_000, "1,000,000")] {
            assert_eq!(count(number), words);
        }
        assert_eq!(decimals(-1234.5, 2), "\u{2212}1,234.50");
    }

    #[test]
    fn one_is_said_in_the_singular() {
        assert_eq!(counted(1, "report", "reports"), "1 report");
        assert_eq!(counted(0, "report", "reports"), "0 reports");
    }

    #[test]
    fn two_digits_mean_something_and_the_whole_part_is_never_cut() {
        for (number, words) in [
            (2.34, "2.3"),
            (0.0513, "0.051"),
            (9.96, "10"),
            (0.0996, "0.10"),
            (1234.4, "1,234"),
            (0.0, "0"),
            (-0.25, "\u{2212}0.25"),
        ] {
            assert_eq!(significant(number, 2), words);
        }
    }

    #[test]
    fn a_negative_nought_is_nought() {
        assert_eq!(decimals(-0.04, 1), "0.0");
        assert_eq!(decimals(-0.0, 0), "0");
    }

    #[test]
    fn what_is_no_number_is_said_to_be_not_known() {
        assert_eq!(significant(f64::NAN, 2), "not known");
        assert_eq!(decimals(f64::INFINITY, 1), "not known");
    }

    /// Plain arithmetic: (8.5 - 6.5) / 8.5.
    #[test]
    fn a_share_is_said_in_percent() {
        assert_eq!(percent((8.5 - 6.5) / 8.5, 1), "23.5\u{a0}%");
    }

    #[test]
    fn no_guess_is_said_to_be_certain_or_impossible() {
        for (probability, words) in [
            (0.0, "under 1\u{a0}%"),
            (0.004, "under 1\u{a0}%"),
            (0.006, "1\u{a0}%"),
            (0.62, "62\u{a0}%"),
            (0.994, "99\u{a0}%"),
            (0.996, "over 99\u{a0}%"),
            (1.0, "over 99\u{a0}%"),
        ] {
            assert_eq!(chance(probability), words, "{probability}");
        }
    }
}
