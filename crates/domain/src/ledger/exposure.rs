//! Spells cut by age in service: the strata in which lots and revisions are compared.

use crate::field::{DAYS_PER_YEAR, Day};

/// Upper ends of the age bands in years; the last band is open. The bands are narrow where early failures show.
pub const AGE_BANDS: [f64; 9] = [0.25, 0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 6.0, f64::INFINITY];

const BAND_DAYS: [i32; 8] = {
    let mut days = [0; 8];
    let mut i = 0;
    while i < days.len() {
        days[i] = (AGE_BANDS[i] * DAYS_PER_YEAR) as i32;
        i += 1;
    }
    days
};

/// The band of an age in service, in days; ages below 0 count as 0.
pub fn age_band(age_days: i32) -> usize {
    BAND_DAYS.partition_point(|&end| end <= age_days)
}

/// Calls `each(band, item_days_per_item)` for every band that items pass from `from` to `to`, when they were
/// `age_days` old on the day `from`.
pub fn split_by_age(age_days: i32, from: Day, to: Day, mut each: impl FnMut(usize, i32)) {
    let (mut age, end) = (age_days.max(0), age_days.max(0) + (to.0 - from.0));
    let mut band = age_band(age);
    while age < end {
        let until = BAND_DAYS.get(band).map_or(end, |&days| days.min(end));
        each(band, until - age);
        (age, band) = (until, band + 1);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_span_cut_by_age_keeps_its_days() {
        for (age, days) in [(0, 1), (0, 4000), (90, 3), (91, 1), (700, 800), (5000, 10)] {
            let mut sum = 0;
            split_by_age(age, Day(0), Day(days), |_, n| sum += n);
            assert_eq!(sum, days);
        }
    }

    #[test]
    fn a_band_ends_before_its_upper_age() {
        assert_eq!((age_band(90), age_band(91), age_band(10_000)), (0, 1, 8));
    }
}
