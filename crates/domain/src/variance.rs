//! A variance: leave to depart from a requirement for so many items or so long, without a change of the design.

use chrono::NaiveDate;

use crate::civil_day::{is_over, is_to_come};
use crate::concerned::Concerned;
use crate::instruction::Holds;
use crate::words::{Problem, words};

words! {
    /// How much a departure matters.
    pub enum VarianceClass {
        /// Neither of the others.
        Minor = "minor",
        /// It touches what the item is for, but not safety.
        Major = "major",
        /// It touches safety.
        Critical = "critical",
    }
}

words! {
    /// What a departure touches.
    pub enum Departure {
        /// Somebody could be hurt.
        Safety = "safety",
        /// Health.
        Health = "health",
        /// What the item does.
        Performance = "performance",
        /// Whether it goes with what is there, without selection or alteration.
        Interchangeability = "interchangeability",
        /// How often it fails.
        Reliability = "reliability",
        /// Whether wearer and item come through.
        Survivability = "survivability",
        /// How it is kept and repaired.
        Maintainability = "maintainability",
        /// How long it lasts.
        Durability = "durability",
        /// Effective use or operation.
        EffectiveUse = "effective use",
        /// Its weight.
        Weight = "weight",
        /// Its looks, where they matter.
        Appearance = "appearance",
    }
}

/// The class of a departure, after the classes of deviations in MIL-STD-973: critical where safety is touched, major
/// where anything else of the list is, minor where nothing is.
pub fn class_of(touches: &[Departure]) -> VarianceClass {
    if touches.contains(&Departure::Safety) {
        VarianceClass::Critical
    } else if touches.is_empty() {
        VarianceClass::Minor
    } else {
        VarianceClass::Major
    }
}

/// A variance.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Variance {
    /// What departs.
    pub concerned: Concerned,
    /// From what, and how.
    pub departure: String,
    /// What it touches; the class follows from it.
    pub touches: Vec<Departure>,
    /// For how many items.
    pub quantity: Option<u32>,
    /// From which day.
    pub from: NaiveDate,
    /// Until which day, inclusive.
    pub expires: Option<NaiveDate>,
    /// Whether it was asked for before and will be again.
    pub recurring: bool,
    /// Why it is given.
    pub reason: String,
    /// Who gave it.
    pub approved_by: String,
    /// The change that makes it needless.
    pub change_no: Option<String>,
    /// Since when it no longer holds, and why.
    pub withdrawn: Option<(NaiveDate, String)>,
}

impl Variance {
    /// Its class.
    pub fn class(&self) -> VarianceClass {
        class_of(&self.touches)
    }

    /// Refuses a variance without departure, reason, name or end.
    ///
    /// # Errors
    /// The field and what it wants.
    pub fn check(&self) -> Result<(), Problem> {
        let blank = |text: &str| text.trim().is_empty();
        if blank(&self.departure) {
            return Err(Problem::new("departure", "expected the requirement and how it is departed from"));
        }
        if blank(&self.reason) {
            return Err(Problem::new("reason", "expected why it is given"));
        }
        if blank(&self.approved_by) {
            return Err(Problem::new("approved_by", "expected who gave it"));
        }
        match (self.quantity, self.expires) {
            (None, None) => {
                Err(Problem::new("expires", "expected a last day or a quantity: no variance is for ever"))
            }
            (Some(0), _) => Err(Problem::new("quantity", "expected one item or more")),
            (_, Some(expires)) if expires < self.from => {
                Err(Problem::new("expires", "expected a day not before the first"))
            }
            _ => Ok(()),
        }
    }

    /// How it stands on a day of UTC, by its own days as an instruction's are read.
    pub fn holds(&self, today: NaiveDate) -> Holds {
        match &self.withdrawn {
            Some((day, _)) if *day <= today => Holds::Withdrawn,
            _ if is_to_come(self.from, today) => Holds::NotYet,
            _ if self.expires.is_some_and(|last| is_over(last, today)) => Holds::Ended,
            _ => Holds::Now,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, 3, day).expect("a day")
    }

    fn thread() -> Variance {
        Variance {
            concerned: Concerned { part_no: "RC-100".into(), maker: None, lots: Vec::new() },
            departure: "Thread of another shade".into(),
            touches: Vec::new(),
            quantity: Some(400),
            from: day(3),
            expires: None,
            recurring: false,
            reason: "The dyer is late.".into(),
            approved_by: "Jon Skerry".into(),
            change_no: None,
            withdrawn: None,
        }
    }

    /// MIL-STD-973 5.4.3.2 by design 5, 4.8, from memory there: critical is a departure that involves safety.
    #[test]
    fn safety_makes_a_departure_critical_and_anything_else_of_the_list_makes_it_major() {
        assert_eq!(class_of(&[Departure::Weight, Departure::Safety]), VarianceClass::Critical);
        assert_eq!(class_of(&[Departure::Durability]), VarianceClass::Major);
        assert_eq!(class_of(&[]), VarianceClass::Minor);
    }

    #[test]
    fn no_variance_is_for_ever() {
        assert_eq!(thread().check(), Ok(()));
        let endless = Variance { quantity: None, ..thread() };
        assert_eq!(endless.check().expect_err("endless").field, "expires");
        let none = Variance { quantity: Some(0), ..thread() };
        assert_eq!(none.check().expect_err("for nothing").field, "quantity");
    }

    #[test]
    fn it_ends_after_its_last_day() {
        let short = Variance { expires: Some(day(9)), ..thread() };
        assert_eq!((short.holds(day(10)), short.holds(day(11))), (Holds::Now, Holds::Ended));
    }
}
