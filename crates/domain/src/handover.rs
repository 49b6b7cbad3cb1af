//! A hand-over: one act that passes what somebody has open to a successor.

use crate::permission::Role;
use crate::words::{Problem, words};

words! {
    /// What kind of thing is passed on.
    pub enum HandoverKind {
        /// A recurrence that is not settled.
        Recurrence = "recurrence",
        /// A change that is not at its end.
        Change = "change",
        /// An action that is not done.
        Action = "action",
        /// A maker's case that is not settled.
        Case = "case",
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
}
