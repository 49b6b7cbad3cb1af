//! How soon a change must be decided: target times by priority, of the edition that a record names.

use std::sync::OnceLock;

use chrono::{DateTime, NaiveDate, TimeDelta, Utc};

use crate::class::Priority;
use crate::words::Problem;

const SHIPPED: &str = include_str!("../data/priority-times.csv");

/// Target times as one edition sets them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Edition {
    /// Its short name, as records keep it.
    pub name: String,
    /// The documents, and how sure this is.
    pub source: String,
    /// Hours from submission to decision, in the order of [`Priority::ALL`].
    hours: [u32; 3],
}

/// When a change is to be decided, and whether that has passed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Due {
    /// The last day on which a decision is in time.
    pub on: NaiveDate,
    /// Whole days that have passed beyond it; 0 while there is time.
    pub days_over: u32,
}

impl Edition {
    /// All editions that ship, the one in force first.
    pub fn all() -> &'static [Self] {
        static EDITIONS: OnceLock<Vec<Edition>> = OnceLock::new();
        EDITIONS.get_or_init(|| read(SHIPPED))
    }

    /// The edition taken where a record names none.
    pub fn in_force() -> &'static Self {
        &Self::all()[0]
    }

    /// The edition of a name.
    ///
    /// # Errors
    /// No such edition ships.
    pub fn find(name: &str) -> Result<&'static Self, Problem> {
        let found = Self::all().iter().find(|edition| edition.name == name);
        found.ok_or_else(|| Problem::new("priority_edition", "no edition of this name ships"))
    }

    /// Hours from submission to decision.
    pub const fn hours(&self, priority: Priority) -> u32 {
        self.hours[priority as usize]
    }

    /// The same in whole calendar days.
    pub const fn days(&self, priority: Priority) -> u32 {
        self.hours(priority).div_ceil(24)
    }

    /// When a change that was submitted is due, seen from a day.
    pub fn due(&self, priority: Priority, submitted_at: DateTime<Utc>, today: NaiveDate) -> Due {
        let on = (submitted_at + TimeDelta::hours(i64::from(self.hours(priority)))).date_naive();
        Due { on, days_over: u32::try_from((today - on).num_days()).unwrap_or(0) }
    }
}

fn read(csv_text: &str) -> Vec<Edition> {
    let mut editions: Vec<Edition> = Vec::new();
    for row in csv::Reader::from_reader(csv_text.as_bytes()).records() {
        let row = row.expect("the shipped target times are well-formed; a test reads every row");
        let priority: Priority = row[2].parse().expect("the shipped target times use E, U and R");
        let hours = row[3].parse().expect("the shipped target times are whole hours");
        if editions.last().is_none_or(|edition| edition.name != row[0]) {
            editions.push(Edition { name: row[0].to_owned(), source: row[1].to_owned(), hours: [0; 3] });
        }
        editions.last_mut().expect("one was just added").hours[priority as usize] = hours;
    }
    editions
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Target times of MIL-STD-973 and MIL-HDBK-61A, and of MIL-STD-480B before them (both from memory).
    #[test]
    fn an_emergency_has_48_hours_and_had_24_before() {
        let of = |name: &str| {
            let edition = Edition::find(name).expect("shipped");
            Priority::ALL.iter().map(|&p| edition.days(p)).collect::<Vec<_>>()
        };
        assert_eq!(of("973/61A"), [2, 30, 90]);
        assert_eq!(of("480B"), [1, 15, 45]);
        assert_eq!(Edition::in_force().hours(Priority::Emergency), 48);
        assert_eq!(Edition::find("1949").unwrap_err().field, "priority_edition");
        assert!(
            Edition::all().iter().all(|e| e.hours.iter().all(|hours| *hours > 0)),
            "no priority is left out"
        );
    }

    #[test]
    fn a_decision_is_over_its_time_from_the_day_after_the_due_day() {
        let submitted = DateTime::from_timestamp(1_772_539_200, 0).expect("a moment");
        assert_eq!(submitted.date_naive().to_string(), "2026-03-03");
        let on = |day: u32| NaiveDate::from_ymd_opt(2026, 3, day).expect("a day");
        let due = |day| Edition::in_force().due(Priority::Emergency, submitted, on(day));
        assert_eq!(due(5), Due { on: on(5), days_over: 0 });
        assert_eq!(due(9).days_over, 4);
        assert_eq!(due(3).days_over, 0);
    }
}
