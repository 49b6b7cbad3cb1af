//! Rates and ratios, never bare: estimate, interval, count and exposure together.

use stats::Interval;

use super::number::{counted, decimals, significant};

/// `1.1 to 4.2`, each end with two meaning digits.
pub fn interval(ends: Interval) -> String {
    format!("{} to {}", significant(ends.low, 2), significant(ends.high, 2))
}

/// `2.3 per 1,000 item-years (1.1 to 4.2), 9 reports, 3,914 item-years`.
pub fn rate(rate_per_1000: f64, ends: Interval, reports: u64, item_years: f64) -> String {
    format!(
        "{} per 1,000 item-years ({}), {}, {} item-years",
        significant(rate_per_1000, 2),
        interval(ends),
        counted(reports, "report", "reports"),
        exposure(item_years),
    )
}

/// `2.3 times (1.2 to 4.1)`.
pub fn ratio(ratio: f64, ends: Interval) -> String {
    format!("{} times ({})", significant(ratio, 2), interval(ends))
}

/// Item-years: whole from ten upwards, else with two meaning digits.
fn exposure(item_years: f64) -> String {
    if item_years < 10.0 { significant(item_years, 2) } else { decimals(item_years, 0) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_rate_comes_with_its_interval_count_and_exposure() {
        let said = rate(2.2994, Interval { low: 1.0515, high: 4.365 }, 9, 3914.2);
        assert_eq!(said, "2.3 per 1,000 item-years (1.1 to 4.4), 9 reports, 3,914 item-years");
    }

    #[test]
    fn a_rate_of_nothing_still_has_an_upper_end() {
        let said = rate(0.0, Interval { low: 0.0, high: 487.0 }, 0, 7.5714);
        assert_eq!(said, "0 per 1,000 item-years (0 to 487), 0 reports, 7.6 item-years");
    }

    #[test]
    fn a_ratio_is_said_as_times() {
        assert_eq!(ratio(2.31, Interval { low: 1.18, high: 4.06 }), "2.3 times (1.2 to 4.1)");
    }
}
