//! Where a change may go from where it stands.

use crate::change::ChangeState as S;
use crate::words::words;

words! {
    /// How the chair disposes of a change.
    pub enum Disposition {
        /// As drafted.
        Approve = "approve",
        /// On stated conditions.
        ApproveWithConditions = "approve with conditions",
        /// Refused, with the reason.
        Disapprove = "disapprove",
        /// Put off, with what is still wanted.
        Defer = "defer",
    }
}

/// A step that is not allowed from where the change stands.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("A change that is {from} can't become {to}.")]
pub struct NotAllowed {
    /// Where it stands.
    pub from: S,
    /// Where it was to go.
    pub to: S,
}

/// Whether a change may go from one state to another.
///
/// # Errors
/// [`NotAllowed`] with both states.
pub fn may_become(from: S, to: S) -> Result<(), NotAllowed> {
    let allowed = match from {
        S::Draft => matches!(to, S::Submitted | S::Withdrawn),
        S::Submitted => {
            matches!(to, S::Approved | S::Disapproved | S::Deferred | S::Draft | S::Withdrawn)
        }
        S::Deferred => matches!(to, S::Submitted | S::Draft | S::Withdrawn),
        S::Approved => matches!(to, S::CutIn | S::Withdrawn),
        S::CutIn => matches!(to, S::Proved | S::NotProved),
        S::NotProved => matches!(to, S::Proved),
        S::Proved => matches!(to, S::NotProved),
        S::Disapproved => matches!(to, S::Draft),
        S::Withdrawn => false,
    };
    if allowed { Ok(()) } else { Err(NotAllowed { from, to }) }
}

/// The state a disposition leads to.
pub const fn after_decision(disposition: Disposition) -> S {
    match disposition {
        Disposition::Approve | Disposition::ApproveWithConditions => S::Approved,
        Disposition::Disapprove => S::Disapproved,
        Disposition::Defer => S::Deferred,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_change_is_decided_once() {
        assert!(may_become(S::Submitted, S::Approved).is_ok());
        assert!(may_become(S::Approved, S::Disapproved).is_err());
        assert!(may_become(S::Disapproved, S::Approved).is_err());
    }

    #[test]
    fn a_refused_change_may_be_written_anew_and_a_withdrawn_one_may_not() {
        assert!(may_become(S::Disapproved, S::Draft).is_ok());
        assert!(may_become(S::Withdrawn, S::Draft).is_err());
    }

    #[test]
    fn nothing_is_cut_in_before_it_is_approved() {
        let error = may_become(S::Submitted, S::CutIn).unwrap_err();
        assert_eq!(error.to_string(), "A change that is submitted can't become cut in.");
    }
}
