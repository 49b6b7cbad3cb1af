//! What is wrong with a form: a sentence beside each field it is about, and above the form what no field shows.

use serde::Serialize;

use super::Problem;
use crate::format;

/// Problems of one form in the order they were noted, at most one a field.
#[derive(Clone, Debug, Default, Serialize)]
pub(crate) struct Faults(Vec<Problem>);

impl Faults {
    /// The only thing that is wrong.
    pub(crate) fn one(field: impl Into<String>, says: impl Into<String>) -> Self {
        Self(vec![Problem::new(field, says)])
    }

    /// Notes what is wrong with a field. The first sentence of a field wins, for there is room for one beside it; without a
    /// field (an empty name) each is kept.
    pub(crate) fn add(&mut self, field: impl Into<String>, says: impl Into<String>) {
        let field = field.into();
        if field.is_empty() || self.of(&field).is_none() {
            self.0.push(Problem::new(field, says));
        }
    }

    /// What is wrong with a field.
    pub(crate) fn of(&self, field: &str) -> Option<&str> {
        self.0.iter().find(|problem| problem.is_of(field)).map(Problem::says)
    }

    /// The same, taken out, so that what is left can be said above the form.
    pub(crate) fn take(&mut self, field: &str) -> Option<String> {
        let at = self.0.iter().position(|problem| problem.is_of(field))?;
        Some(self.0.remove(at).says().to_owned())
    }

    /// Sentences that no field took.
    pub(crate) fn rest(&self) -> Vec<String> {
        self.0.iter().map(|problem| problem.says().to_owned()).collect()
    }

    /// Whether nothing is wrong.
    pub(crate) const fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Each with its field.
    pub(crate) fn all(&self) -> &[Problem] {
        &self.0
    }
}

/// What a rule of the trade refuses, as a sentence of its own.
impl From<domain::words::Problem> for Faults {
    fn from(problem: domain::words::Problem) -> Self {
        Self::one(problem.field, format::sentence(&problem.why))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_sentence_of_a_field_wins() {
        let mut faults = Faults::one("share", "Write a whole number.");
        faults.add("share", "Write a number from 0 to 100.");
        faults.add("day", "Write the day.");
        assert_eq!((faults.of("share"), faults.of("maker")), (Some("Write a whole number."), None));
        assert_eq!(faults.all().iter().map(Problem::field).collect::<Vec<_>>(), ["share", "day"]);
    }

    #[test]
    fn what_has_no_field_or_none_that_was_shown_is_in_the_rest() {
        let mut faults = Faults::from(domain::words::Problem::new("lot_no", "there is no such lot"));
        for says in ["Oda Fell wrote on it.", "So did Jon Skerry."] {
            faults.add("", says);
        }
        faults.add("day", "Write the day.");
        assert_eq!(faults.take("day").as_deref(), Some("Write the day."));
        assert_eq!(faults.take("day"), None);
        assert_eq!(faults.rest(), ["There is no such lot.", "Oda Fell wrote on it.", "So did Jon Skerry."]);
        assert!(!faults.is_empty() && Faults::default().is_empty());
    }
}
