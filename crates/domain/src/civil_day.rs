//! Days as people call them, beside today as this program reckons it, which is UTC's.

use chrono::NaiveDate;

/// Whether a day is still to come wherever one is: east of UTC its tomorrow has begun already.
pub fn is_to_come(day: NaiveDate, today: NaiveDate) -> bool {
    today.succ_opt().is_some_and(|tomorrow| day > tomorrow)
}

/// Whether a day is over wherever one is: west of UTC its yesterday goes on.
pub fn is_over(day: NaiveDate, today: NaiveDate) -> bool {
    today.pred_opt().is_some_and(|yesterday| day < yesterday)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_day_begins_before_that_of_utc_in_the_east_and_ends_after_it_in_the_west() {
        let day = |day| NaiveDate::from_ymd_opt(2026, 3, day).expect("a day");
        assert_eq!([9, 10, 11, 12].map(|d| is_to_come(day(d), day(10))), [false, false, false, true]);
        assert_eq!([8, 9, 10, 11].map(|d| is_over(day(d), day(10))), [true, false, false, false]);
    }
}
