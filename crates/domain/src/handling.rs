//! The handling of a report: where it stands, and why it counts or does not.

use crate::words::words;

words! {
    /// Where a report stands.
    pub enum ReportState {
        /// Arrived; nobody has looked.
        Received = "received",
        /// A question is with the unit.
        Asked = "asked",
        /// Part and mode are set.
        Sorted = "sorted",
        /// Not a failure report, or a double.
        SetAside = "set aside",
        /// The unit has its answer.
        Answered = "answered",
    }
}

words! {
    /// Why a report does not count as a failure of the equipment (after MIL-STD-781, as reported in a
    /// Reliability Analysis Center answer).
    pub enum NotRelevant {
        /// Damage while fitting or assembling.
        FittingDamage = "damage while fitting or assembling",
        /// An accident.
        Accident = "accident",
        /// Mishandling.
        Mishandling = "mishandling",
        /// Loaded beyond what it is made for.
        OverStress = "loaded beyond what it is made for",
        /// Normal adjustment.
        NormalAdjustment = "normal adjustment",
        /// Follows from another failure that is counted.
        Secondary = "follows from another failure that is counted",
        /// The same failure was reported before.
        Double = "the same failure was reported before",
    }
}

words! {
    /// Why a relevant failure does not count against the design.
    pub enum NotChargeable {
        /// The maker departed from the drawing.
        MakeError = "made otherwise than drawn",
        /// Altered by the unit.
        AlteredByUnit = "altered by the unit",
        /// Put right by the wearer within five minutes with own means (MIL-C-45975B appendix, step 9).
        WearerRemedied = "put right by the wearer within five minutes",
        /// Beyond its stated life.
        BeyondLife = "worn beyond its stated life",
        /// Found at a scheduled inspection before it mattered.
        FoundEarly = "found at a scheduled inspection before it mattered",
    }
}

/// What an engineer decides when sorting a report.
#[derive(Clone, Debug, PartialEq)]
pub struct Sorting {
    /// The part that failed.
    pub part_no: String,
    /// How.
    pub mode: String,
    /// The lot, where resolved or chosen; `None` leaves the label as it was sent.
    pub lot_no: Option<String>,
    /// Whether it counts as a failure of the equipment at all.
    pub relevant: bool,
    /// Why not, where it doesn't.
    pub relevant_reason: Option<String>,
    /// Whether it counts against the design.
    pub chargeable: bool,
    /// Why not, where it doesn't.
    pub chargeable_reason: Option<String>,
    /// What induced it, where known.
    pub cause: Option<String>,
}

impl Sorting {
    /// Refuses flags without a reason and a chargeable report that isn't relevant.
    pub fn check(&self) -> Result<(), crate::words::Problem> {
        use crate::words::Problem;
        let blank = |reason: &Option<String>| reason.as_deref().is_none_or(|r| r.trim().is_empty());
        if !self.relevant && blank(&self.relevant_reason) {
            return Err(Problem::new("relevant_reason", "Say why it doesn't count as a failure."));
        }
        if self.relevant && !self.chargeable && blank(&self.chargeable_reason) {
            return Err(Problem::new("chargeable_reason", "Say why it doesn't count against the design."));
        }
        if self.chargeable && !self.relevant {
            return Err(Problem::new("chargeable", "a report that isn't relevant can't be chargeable"));
        }
        Ok(())
    }
}
