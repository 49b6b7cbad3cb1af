//! Requirement checks: met, not met, can't tell within uncertainty, or not affected.

use crate::requirement::LimitKind;
use crate::words::{Problem, words};

words! {
    /// How a requirement fares under the change.
    pub enum Verdict {
        /// The whole interval lies on the right side of the limit.
        Met = "met",
        /// The whole interval lies on the wrong side.
        NotMet = "not met",
        /// The limit lies within the interval, or there is no figure.
        CantTell = "can't tell",
        /// The change doesn't touch it.
        NotAffected = "not affected",
    }
}

/// One requirement under the change.
#[derive(Clone, Debug, PartialEq)]
pub struct RequirementCheck {
    /// Its number.
    pub requirement_no: String,
    /// How it fares.
    pub verdict: Verdict,
    /// The figure it rests on, in words with its interval; or the person's statement.
    pub figure: String,
}

impl RequirementCheck {
    /// Refuses a person's "met" without a reason: no figure of the program stands behind it.
    ///
    /// # Errors
    /// The note is blank.
    pub fn check_statement(verdict: Verdict, note: Option<&str>) -> Result<(), Problem> {
        let blank = note.is_none_or(|note| note.trim().is_empty());
        if verdict == Verdict::Met && blank {
            return Err(Problem::new("note", "expected why it is met: no figure shows it"));
        }
        Ok(())
    }
}

/// Judges an interval `low..high` against a limit in the same unit.
///
/// The decision rule is that of ISO 14253-1 (from memory): conformity is shown only when the whole interval
/// conforms, non-conformity only when none of it does.
pub fn verdict(kind: LimitKind, limit: f64, low: f64, high: f64) -> Verdict {
    let (met, not_met) = match kind {
        LimitKind::AtMost => (high <= limit, low > limit),
        LimitKind::AtLeast => (low >= limit, high < limit),
    };
    match (met, not_met) {
        (true, _) => Verdict::Met,
        (_, true) => Verdict::NotMet,
        _ => Verdict::CantTell,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn met_needs_a_reason_and_not_affected_does_not() {
        let of = |verdict, note| RequirementCheck::check_statement(verdict, note).is_ok();
        assert!(!of(Verdict::Met, None) && !of(Verdict::Met, Some("  ")));
        assert!(of(Verdict::Met, Some("tested by hand")) && of(Verdict::NotAffected, None));
    }

    #[test]
    fn a_limit_inside_the_interval_cant_be_told() {
        assert_eq!(verdict(LimitKind::AtMost, 2950.0, 2940.0, 2960.0), Verdict::CantTell);
        assert_eq!(verdict(LimitKind::AtMost, 2950.0, 2930.0, 2950.0), Verdict::Met);
        assert_eq!(verdict(LimitKind::AtMost, 2950.0, 2951.0, 2960.0), Verdict::NotMet);
        assert_eq!(verdict(LimitKind::AtLeast, 90.0, 91.0, 95.0), Verdict::Met);
        assert_eq!(verdict(LimitKind::AtLeast, 90.0, 80.0, 89.0), Verdict::NotMet);
    }
}
