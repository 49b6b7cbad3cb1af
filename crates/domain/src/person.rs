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
        let mut measured = self.dimensions_mm.iter().filter_map(|(name, mm)| Some((name, (*mm)?)));
        if let Some((name, mm)) = measured.find(|(_, mm)| !above_zero(*mm)) {
            return Err(Problem::new(
                "dimensions_mm",
                format!("{name}_mm is {mm}; expected millimetres above 0"),
            ));
        }
        Ok(())
    }

    fn check_references(&self, _known: &Known, _problems: &mut Vec<Problem>) {}

    fn key(&self, key: &mut KeyHasher) {
        key.field(&self.person);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_body_has_a_size_in_every_dimension_and_a_mass() {
        let person = |mass_kg, chest| Person {
            person: "P-1".into(),
            sex: None,
            mass_kg,
            dimensions_mm: vec![("waist_back".into(), None), ("chest".into(), chest)],
        };
        let day = NaiveDate::MIN;
        assert_eq!(person(Some(71.5), Some(967.1)).check_row(day), Ok(()));
        assert_eq!(person(None, None).check_row(day), Ok(()));
        for chest in [0.0, -967.1] {
            let problem = person(None, Some(chest)).check_row(day).expect_err("refused");
            assert_eq!(
                problem.to_string(),
                format!("dimensions_mm: chest_mm is {chest}; expected millimetres above 0")
            );
        }
        let problem = person(Some(0.0), None).check_row(day).expect_err("refused");
        assert_eq!(problem.field, "mass_kg");
    }
}
