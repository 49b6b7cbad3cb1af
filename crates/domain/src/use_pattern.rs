//! How much a unit wears its items: the bridge from calendar time to wear-hours.

use chrono::NaiveDate;

use crate::pack::{KeyHasher, Known, Record, Table};
use crate::words::{Problem, words};

words! {
    /// Where a figure of use comes from.
    pub enum UseBasis {
        /// Recorded by the unit.
        Measured = "measured",
        /// Judged.
        Estimated = "estimated",
    }
}

/// Wear-hours an item sees in a month at a unit, over a span of dates.
#[derive(Clone, Debug, PartialEq)]
pub struct UsePattern {
    /// The unit.
    pub unit: String,
    /// First day.
    pub from: NaiveDate,
    /// Last day; open when `None`.
    pub to: Option<NaiveDate>,
    /// What the unit does meanwhile.
    pub activity: Option<String>,
    /// Hours worn by one item in one month (1/12 year), from 0 to 744.
    pub wear_hours_per_item_month: f64,
    /// Where the figure comes from.
    pub basis: Option<UseBasis>,
}

impl UsePattern {
    /// Refuses spans that end before they begin and more hours than a month has.
    pub fn check(&self) -> Result<(), Problem> {
        if self.to.is_some_and(|to| to < self.from) {
            return Err(Problem::new("to", "is before `from`"));
        }
        if !(0.0..=744.0).contains(&self.wear_hours_per_item_month) {
            return Err(Problem::new("wear_hours_per_item_month", "expected 0 to 744 hours"));
        }
        Ok(())
    }
}

impl Record for UsePattern {
    const TABLE: Table = Table::Use;

    fn check_row(&self, _today: NaiveDate) -> Result<(), Problem> {
        self.check()
    }

    fn check_references(&self, known: &Known, problems: &mut Vec<Problem>) {
        known.need_unit("unit", &self.unit, problems);
    }

    fn key(&self, key: &mut KeyHasher) {
        key.field(&self.unit).field(self.from).field(&self.activity);
    }
}
