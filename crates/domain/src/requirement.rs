//! A requirement on an item: what it must hold, with a limit where it has one.

use chrono::NaiveDate;

use crate::pack::{KeyHasher, Known, Record, Table};
use crate::words::{Problem, words};

words! {
    /// What a requirement limits.
    pub enum Measure {
        /// Mass of the item in grams.
        MassG = "mass_g",
        /// Failures per 1,000 item-years.
        RatePer1000ItemYears = "rate_per_1000_item_years",
        /// Share of the population accommodated, in percent.
        AccommodatedPercent = "accommodated_percent",
        /// Time to release, in seconds.
        ReleaseSeconds = "release_seconds",
        /// Anything else.
        Other = "other",
    }
}

words! {
    /// Which way a limit binds.
    pub enum LimitKind {
        /// Not more than the limit.
        AtMost = "at_most",
        /// Not less than the limit.
        AtLeast = "at_least",
    }
}

/// One requirement.
#[derive(Clone, Debug, PartialEq)]
pub struct Requirement {
    /// The item.
    pub item_part_no: String,
    /// Its number, unique within the item.
    pub requirement_no: String,
    /// Its words.
    pub text: String,
    /// What it limits.
    pub measure: Option<Measure>,
    /// Which way.
    pub limit_kind: Option<LimitKind>,
    /// The limit, in the measure's unit.
    pub limit: Option<f64>,
    /// Only in this configuration; all when `None`.
    pub configuration: Option<String>,
    /// Only in this size; all when `None`.
    pub size: Option<String>,
}

impl Requirement {
    /// Refuses a limit without a direction and the reverse.
    pub fn check(&self) -> Result<(), Problem> {
        if self.limit.is_some() != self.limit_kind.is_some() {
            return Err(Problem::new("limit_kind", "a limit needs a direction, and a direction a limit"));
        }
        Ok(())
    }
}

impl Record for Requirement {
    const TABLE: Table = Table::Requirements;

    fn check_row(&self, _today: NaiveDate) -> Result<(), Problem> {
        self.check()
    }

    fn check_references(&self, known: &Known, problems: &mut Vec<Problem>) {
        known.need_item("item_part_no", &self.item_part_no, problems);
    }

    fn key(&self, key: &mut KeyHasher) {
        key.field([&self.item_part_no, &self.requirement_no]).field([&self.configuration, &self.size]);
    }
}
