//! A person of the measured population; body dimensions, no name.

use chrono::NaiveDate;

use crate::pack::{KeyHasher, Known, Record, Table};
use crate::words::Problem;

/// One measured person.
#[derive(Clone, Debug, PartialEq)]
pub struct Person {
    /// The key of the person in the survey.
    pub person: String,
    /// Sex, as the survey words it.
    pub sex: Option<String>,
    /// Body mass in kg.
    pub mass_kg: Option<f64>,
    /// Dimensions in mm by name without unit (`chest`), in the order of the pack's columns.
    pub dimensions_mm: Vec<(String, Option<f64>)>,
}

impl Record for Person {
    const TABLE: Table = Table::People;

    fn check_row(&self, _today: NaiveDate) -> Result<(), Problem> {
        let above_zero = |x: f64| x.is_finite() && x > 0.0;
        if self.mass_kg.is_some_and(|kg| !above_zero(kg)) {
            return Err(Problem::new("mass_kg", "expected kilograms above 0"));
        }
        Ok(())
    }

    fn check_references(&self, _known: &Known, _problems: &mut Vec<Problem>) {}

    fn key(&self, key: &mut KeyHasher) {
        key.field(&self.person);
    }
}
