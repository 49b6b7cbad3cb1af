//! The world's days: counted from the start of the records, written as dates, and how hard each season wears.

use chrono::{Datelike, Days, NaiveDate};

/// How many days before the start a lot can have been made.
const BEFORE: i32 = 900;
/// How far past the end the world is followed to count what a forecast should have said.
pub(super) const BEYOND: i32 = 365;
/// Summer wear is this much above the mean where the work is on the water, below it on the hill.
pub(super) const SEASON: f64 = 0.35;
/// Days in a year, for ages.
pub(super) const YEAR: f64 = 365.25;

/// Which half of the year a unit works hardest.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Season {
    /// Winter.
    Hill,
    /// Summer.
    Coast,
}

/// Days, their dates, and the wear that has gone by on each.
pub(super) struct Calendar {
    /// The last day of the records.
    pub(super) end: i32,
    /// The last day that is followed at all.
    pub(super) last: i32,
    start: NaiveDate,
    dates: Vec<String>,
    hill: Vec<f64>,
    coast: Vec<f64>,
}

impl Calendar {
    /// Days from `years` before `end_date`; `None` where the calendar ends before that.
    pub(super) fn new(end_date: NaiveDate, years: f64) -> Option<Self> {
        let end = (years * YEAR).round() as i32;
        let start = end_date.checked_sub_days(Days::new(end as u64))?;
        let first = start.checked_sub_days(Days::new(BEFORE as u64))?;
        let last = end + BEYOND;
        let days: Vec<NaiveDate> = first.iter_days().take((BEFORE + last + 1) as usize).collect();
        let worn = |sign: f64| {
            let mut sum = 0.0;
            days.iter()
                .skip(BEFORE as usize)
                .map(|day| {
                    // Midsummer is day 172 of the year; the wear of one day is a 365.25th of a year at mean use.
                    let phase = std::f64::consts::TAU * (f64::from(day.ordinal()) - 172.0) / YEAR;
                    sum += (1.0 + sign * SEASON * phase.cos()) / YEAR;
                    sum
                })
                .collect::<Vec<f64>>()
        };
        let (hill, coast) = (worn(-1.0), worn(1.0));
        let dates = days.iter().map(NaiveDate::to_string).collect();
        Some(Self { end, last, start, dates, hill, coast })
    }

    /// The date of a day, as written in a pack.
    pub(super) fn date(&self, day: i32) -> &str {
        &self.dates[((day + BEFORE).max(0) as usize).min(self.dates.len() - 1)]
    }

    /// The month of a day, as written in a pack.
    pub(super) fn month(&self, day: i32) -> &str {
        &self.date(day)[..7]
    }

    /// The two last digits of a day's year.
    pub(super) fn year2(&self, day: i32) -> &str {
        &self.date(day)[2..4]
    }

    /// The first day of the records.
    pub(super) fn start(&self) -> NaiveDate {
        self.start
    }

    /// Years of mean use gone by from the start to a day, at a unit of the season.
    pub(super) fn worn(&self, season: Season, day: i32) -> f64 {
        self.table(season)[day.clamp(0, self.last) as usize]
    }

    /// The day on which `worn` years of mean use have gone by; after `last` where they have not.
    pub(super) fn day_worn(&self, season: Season, worn: f64) -> i32 {
        days(self.table(season).partition_point(|w| *w < worn))
    }

    fn table(&self, season: Season) -> &[f64] {
        match season {
            Season::Hill => &self.hill,
            Season::Coast => &self.coast,
        }
    }
}

/// A count of days as a day; no world is long enough for it not to fit.
pub(super) fn days(count: usize) -> i32 {
    i32::try_from(count).unwrap_or(i32::MAX)
}
