//! A person of the measured population; body dimensions, no name.

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
