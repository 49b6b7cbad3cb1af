//! A day as a number, so that spans are subtractions.

use chrono::{Datelike, NaiveDate};

/// Mean days in a year, by which item-days become item-years.
pub const DAYS_PER_YEAR: f64 = 365.25;

/// A day, counted from the first day of the common era.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Day(pub i32);

impl Day {
    /// Years from `earlier` to this day; below 0 when `earlier` is later.
    pub fn years_since(self, earlier: Self) -> f64 {
        f64::from(self.0 - earlier.0) / DAYS_PER_YEAR
    }

    /// The first day of its month.
    pub fn month(self) -> Self {
        Self(self.0 - self.date().day0().cast_signed())
    }

    /// The number of its week, Monday to Sunday: the first day of the common era was a Monday.
    pub fn week(self) -> i32 {
        (self.0 - 1).div_euclid(7)
    }

    /// The Monday of a week.
    pub fn monday(week: i32) -> Self {
        Self(week * 7 + 1)
    }

    /// The date.
    pub fn date(self) -> NaiveDate {
        NaiveDate::from_num_days_from_ce_opt(self.0).unwrap_or(NaiveDate::MIN)
    }
}

impl From<NaiveDate> for Day {
    fn from(date: NaiveDate) -> Self {
        Self(date.num_days_from_ce())
    }
}

impl std::fmt::Display for Day {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.date().fmt(f)
    }
}
