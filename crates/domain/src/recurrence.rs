//! A recurrence: two or more relevant reports of one mode on one part, or one with harm; and what it takes to settle it.

use crate::analysis::Reach;
use crate::change::ChangeState;
use crate::field::Day;
use crate::words::{Problem, words};

words! {
    /// Where a recurrence stands.
    pub enum RecurrenceState {
        /// Seen, nobody has it.
        Standing = "standing",
        /// Somebody works on it.
        TakenUp = "taken up",
        /// Cause, action, effectivity and a verified result are recorded, and the remaining risk is accepted.
        Settled = "settled",
        /// It came back after it was settled.
        Back = "back",
    }
}

/// The longest text of a settlement, in letters.
const LONGEST: usize = 4_000;

/// What is stated when a recurrence is settled.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Settlement {
    /// The proved change that cures it.
    pub change_no: String,
    /// Items in service that have it.
    pub with_change: u64,
    /// Items in service that contain the part.
    pub in_service: u64,
    /// What is decided on the stock that was not converted.
    pub stock: String,
    /// What risk remains.
    pub remains: String,
    /// Who accepts it, by name.
    pub accepted_by: String,
}

impl Settlement {
    /// Refuses a statement that is missing or too long.
    pub fn check(&self) -> Result<(), Problem> {
        for (field, text) in
            [("stock", &self.stock), ("remains", &self.remains), ("accepted_by", &self.accepted_by)]
        {
            let letters = text.trim().chars().count();
            if letters == 0 || letters > LONGEST {
                return Err(Problem::new(field, "expected a statement of up to 4,000 letters"));
            }
        }
        Ok(())
    }
}

/// What a settlement has to rest on.
#[derive(Clone, Copy, Debug, Default)]
pub struct Grounds<'a> {
    /// What causes it, or why no cause was found.
    pub cause: Option<&'a str>,
    /// Where the change against it stands that got farthest.
    pub change: Option<ChangeState>,
    /// Whether the lots at which it took effect are on record.
    pub has_effectivity: bool,
    /// How far it has reached the items in service.
    pub reach: Option<Reach>,
}

/// What is still missing before a recurrence can be settled. A proved change alone doesn't settle it.
pub fn missing_before_settling(grounds: &Grounds<'_>) -> Vec<&'static str> {
    let mut missing = Vec::new();
    if grounds.cause.is_none_or(|cause| cause.trim().is_empty()) {
        missing.push("the cause, or why none was found");
    }
    match grounds.change {
        None => missing.push("a change against it"),
        Some(ChangeState::Proved) => {}
        Some(_) => missing.push("the proof that the change worked"),
    }
    if grounds.change.is_some() && !grounds.has_effectivity {
        missing.push("the lots at which the change took effect");
    }
    if grounds.change.is_some() && grounds.reach.and_then(Reach::share).is_none() {
        missing.push("how far the change has reached the items in service");
    }
    missing
}

/// Whether a settled recurrence is back: since then, failures on items with the change make a recurrence of their own, two
/// of them or one with harm. Failures of items without the change are the risk that was accepted.
pub fn is_back(settled_on: Day, failures_with_change: impl IntoIterator<Item = (Day, bool)>) -> bool {
    let since: Vec<bool> =
        failures_with_change.into_iter().filter(|(day, _)| *day > settled_on).map(|(_, harm)| harm).collect();
    since.len() >= 2 || since.contains(&true)
}

/// Settled recurrences that are back by the figures of now, by part and mode. The figures say so anew each time: on record
/// they stay settled until somebody takes them up again.
#[derive(Clone, Debug, Default)]
pub struct ComeBack(Vec<(String, String)>);

impl ComeBack {
    /// Where a recurrence stands that is kept as `kept`.
    pub fn standing(&self, part_no: &str, mode: &str, kept: RecurrenceState) -> RecurrenceState {
        let is_back =
            kept == RecurrenceState::Settled && self.0.iter().any(|(part, of)| part == part_no && of == mode);
        if is_back { RecurrenceState::Back } else { kept }
    }
}

impl FromIterator<(String, String)> for ComeBack {
    fn from_iter<I: IntoIterator<Item = (String, String)>>(recurrences: I) -> Self {
        Self(recurrences.into_iter().collect())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_proved_change_alone_does_not_settle_a_recurrence() {
        let proved = Grounds { change: Some(ChangeState::Proved), ..Grounds::default() };
        assert_eq!(missing_before_settling(&proved).len(), 3, "cause, effectivity, reach");
        let reach = Reach { in_service: 100, without: 40, built: 60, retrofitted: 0 };
        let whole = Grounds { cause: Some("salt"), has_effectivity: true, reach: Some(reach), ..proved };
        assert_eq!(missing_before_settling(&whole), [""; 0]);
        let early = Grounds { change: Some(ChangeState::CutIn), ..whole };
        assert_eq!(missing_before_settling(&early), ["the proof that the change worked"]);
        assert_eq!(missing_before_settling(&Grounds { change: None, ..whole }), ["a change against it"]);
    }

    #[test]
    fn what_remains_is_accepted_by_name() {
        let stated = Settlement {
            change_no: "2026-001".into(),
            with_change: 60,
            in_service: 100,
            stock: "runs out by 2028".into(),
            remains: "two failures a year".into(),
            accepted_by: "Ada Brook".into(),
        };
        assert_eq!(stated.check(), Ok(()));
        assert_eq!(
            Settlement { accepted_by: " ".into(), ..stated }.check().unwrap_err().field,
            "accepted_by"
        );
    }

    #[test]
    fn a_settled_recurrence_is_back_by_two_failures_with_the_change_or_one_with_harm() {
        let day = Day;
        assert!(!is_back(day(10), [(day(10), true), (day(9), false), (day(11), false)]));
        assert!(is_back(day(10), [(day(11), false), (day(12), false)]));
        assert!(is_back(day(10), [(day(11), true)]));
    }
}
