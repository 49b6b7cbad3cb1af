//! A hand-over: one act that passes what somebody has open to a successor.

use chrono::NaiveDate;

use crate::permission::Role;
use crate::words::{Problem, words};

words! {
    /// What kind of thing is passed on.
    pub enum HandoverKind {
        /// A recurrence. A settled one too: it may come back.
        Recurrence = "recurrence",
        /// A change that is not at its end.
        Change = "change",
        /// An action that is not done.
        Action = "action",
        /// A maker's case that is not settled.
        Case = "case",
        /// A failed item that was taken in and not released.
        Exhibit = "exhibit",
        /// A lot of which nothing is issued until somebody decides.
        LotOnHold = "lot on hold",
        /// An instruction to units that holds, or is to.
        Instruction = "instruction",
        /// Leave to depart from a requirement that holds, or is to.
        Variance = "variance",
        /// A question that its unit has not answered.
        Question = "question",
        /// A hold on a report that nobody lifted.
        Hold = "hold",
        /// A disclosure that nobody has reviewed.
        Disclosure = "disclosure",
        /// Being mailed at once when a report of danger arrives.
        OnCall = "on call",
        /// Being mailed the weekly digest.
        Digest = "weekly digest",
    }
}

impl HandoverKind {
    /// As the head of a list.
    pub const fn heading(self) -> &'static str {
        match self {
            Self::Recurrence => "Recurrences",
            Self::Change => "Changes",
            Self::Action => "Actions",
            Self::Case => "Makers’ cases",
            Self::Exhibit => "Exhibits",
            Self::LotOnHold => "Lots on hold",
            Self::Instruction => "Instructions in force",
            Self::Variance => "Variances in force",
            Self::Question => "Questions to units",
            Self::Hold => "Holds on reports",
            Self::Disclosure => "Disclosures in review",
            Self::OnCall => "On call",
            Self::Digest => "Weekly digest",
        }
    }

    /// Whether it is mail that somebody gets: what passes it needs an address of the successor.
    pub const fn is_mail(self) -> bool {
        matches!(self, Self::OnCall | Self::Digest)
    }
}

/// One thing that is passed on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct HandoverItem {
    /// Its kind.
    pub kind: HandoverKind,
    /// The key it is found by.
    pub key: String,
    /// What it is about, in words.
    pub title: String,
    /// The day it was promised for, or ends.
    pub due: Option<NaiveDate>,
}

/// What is passed on by kind, in the order of the kinds; kinds of which there is nothing are left out.
pub fn by_kind<T>(items: &[T], kind_of: impl Fn(&T) -> HandoverKind) -> Vec<(HandoverKind, Vec<&T>)> {
    let of = |&kind: &HandoverKind| (kind, items.iter().filter(|one| kind_of(one) == kind).collect());
    HandoverKind::ALL.iter().map(of).filter(|(_, own): &(_, Vec<_>)| !own.is_empty()).collect()
}

/// Refuses a successor who is the same person, who was retired, or whose role can't go on with it.
///
/// # Errors
/// The field and what it wants.
pub fn check_successor(from: i64, to: i64, role: Role, is_retired: bool) -> Result<(), Problem> {
    if from == to {
        return Err(Problem::new("to", "expected somebody else"));
    }
    if is_retired {
        return Err(Problem::new("to", "expected somebody who is not retired"));
    }
    if role != Role::Engineer {
        return Err(Problem::new("to", "expected an engineer, who can go on with it"));
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_successor_is_another_engineer_who_is_still_there() {
        assert_eq!(check_successor(1, 2, Role::Engineer, false), Ok(()));
        for (from, to, role, is_retired) in
            [(1, 1, Role::Engineer, false), (1, 2, Role::Board, false), (1, 2, Role::Engineer, true)]
        {
            assert!(check_successor(from, to, role, is_retired).is_err());
        }
    }

    #[test]
    fn a_list_is_in_the_order_of_the_kinds_and_leaves_out_what_there_is_none_of() {
        use HandoverKind as K;
        let items = [(K::Digest, 1), (K::Action, 2), (K::Digest, 3)];
        let parted = by_kind(&items, |item| item.0);
        assert_eq!(parted, [(K::Action, vec![&items[1]]), (K::Digest, vec![&items[0], &items[2]])]);
        assert!(by_kind::<(K, i32)>(&[], |item| item.0).is_empty());
    }
}
