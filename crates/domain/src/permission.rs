//! Who may do what: the one place that is asked.

use crate::words::words;

words! {
    /// What a signed-in person is here for.
    pub enum Role {
        /// Sends reports for a unit and follows them.
        UnitReporter = "unit_reporter",
        /// Sorts reports, answers for items, drafts changes.
        Engineer = "engineer",
        /// Advises on and decides changes; reviews their status.
        Board = "board",
        /// Runs the installation.
        Administrator = "administrator",
    }
}

/// Who acts.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Actor {
    /// A signed-in person.
    Person {
        /// The store's number of the person.
        id: i64,
        /// How they sign in and are named in the journal.
        name: String,
        /// What they are here for.
        role: Role,
        /// The unit they report for, on a unit reporter.
        unit: Option<String>,
    },
    /// Whoever holds a unit's secret link: the post, not the person.
    UnitLink {
        /// The unit.
        unit: String,
    },
    /// Another program that holds a key: it reads and reports, and decides nothing.
    Key {
        /// What the key is for, as the journal names it.
        purpose: String,
        /// The role it was made for.
        role: Role,
        /// The unit it reports for, on the key of a unit.
        unit: Option<String>,
    },
    /// The program itself: imports from the command line, housekeeping.
    Program,
    /// Somebody we know nothing of.
    Anybody,
}

/// What somebody wants to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Act<'a> {
    /// Send a report for a unit.
    SendReport {
        /// The unit it is sent for.
        unit: &'a str,
    },
    /// Read a unit's own reports, in its words, and their answers.
    ReadUnitReports {
        /// The unit that sent them.
        unit: &'a str,
    },
    /// Answer a question put to a unit.
    AnswerQuestion {
        /// The unit that was asked.
        unit: &'a str,
    },
    /// Take back a list of failures that was sent by mistake.
    TakeBackList {
        /// The unit that sent it; nothing where an engineer did.
        unit: Option<&'a str>,
    },
    /// See the picture of the field: recurrences, lots, figures.
    ReadField,
    /// Sort reports, ask units, set flags and causes.
    Sort,
    /// Take failed items in, say where they are, and release them.
    KeepExhibits,
    /// Read where the answer to a report is mailed.
    ReadContact,
    /// Keep contact details from being deleted, and let them go.
    HoldContact,
    /// Decide a severity.
    DecideSeverity,
    /// Draft, edit and submit changes.
    DraftChange,
    /// See change records and their status.
    ReadChanges,
    /// Dispose of a change.
    DecideChange {
        /// Who drafted it; nobody decides on their own record.
        drafted_by: Option<i64>,
    },
    /// Add a remark or a file to a change record.
    RemarkOnChange,
    /// Make a meeting's docket: which changes are looked at, in which order.
    KeepDocket,
    /// Advise the chair on a change. There is one role for the board: any member advises and may take the chair.
    Advise {
        /// Who drafted it; nobody advises on their own record.
        drafted_by: Option<i64>,
    },
    /// Record that a change was cut in.
    CutIn,
    /// Record what field data showed of a change.
    ConcludeChange,
    /// Say what is to be done for a change before its cut-in, and who does it.
    PlanActions,
    /// Say that one of these is done.
    FinishAction {
        /// Who was to do it.
        owner: Option<i64>,
    },
    /// Instruct units for the time until a change reaches them, and give leave to depart from a requirement.
    Instruct,
    /// Set the condition of a lot, and keep the case with its maker.
    JudgeLot,
    /// Pass what somebody has open to a successor.
    HandOver {
        /// Whose it is.
        of: i64,
    },
    /// Let a document leave the house.
    Publish,
    /// Read what was drafted for outsiders before it leaves: reporters' words from which names may not all be struck.
    ReadDrafts,
    /// Look through what was drafted for outsiders, and release or refuse it.
    ReviewDisclosure {
        /// Who drafted it; four eyes are two people's.
        drafted_by: Option<i64>,
    },
    /// Bring books in.
    Import,
    /// Take books out.
    Export,
    /// Extend the catalogue.
    ExtendCatalogue,
    /// Make and revoke unit links.
    ManageUnitLinks,
    /// Add, rename and retire people; set roles.
    ManagePeople,
    /// Read the journal.
    ReadJournal,
}

/// Why an act is refused.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Refusal {
    /// Sign in first.
    #[error("Please sign in first.")]
    SignInFirst,
    /// Signed in, but not for this.
    #[error("Your role doesn't allow this.")]
    NotYourRole,
    /// Another unit's affair.
    #[error("This belongs to another unit.")]
    NotYourUnit,
    /// One's own change record.
    #[error("Nobody decides on a change record of their own.")]
    OwnRecord,
    /// One's own draft for outsiders.
    #[error("Somebody else reviews what you drafted.")]
    OwnDraft,
}

/// Whether `actor` may do `act`.
///
/// # Errors
/// The reason of the refusal, in words for the reader.
pub fn may(actor: &Actor, act: &Act<'_>) -> Result<(), Refusal> {
    match actor {
        Actor::Anybody => Err(Refusal::SignInFirst),
        Actor::Program => Ok(()),
        Actor::UnitLink { unit } => match act {
            Act::SendReport { unit: of }
            | Act::ReadUnitReports { unit: of }
            | Act::AnswerQuestion { unit: of } => own_unit(unit, of),
            _ => Err(Refusal::SignInFirst),
        },
        Actor::Key { role, unit, .. } => match act {
            // Decisions are made by people, who can be asked why.
            Act::SendReport { .. } | Act::ReadUnitReports { .. } | Act::ReadField | Act::ReadChanges => {
                role_may(None, *role, unit.as_deref(), act)
            }
            _ => Err(Refusal::NotYourRole),
        },
        Actor::Person { id, role, unit, .. } => role_may(Some(*id), *role, unit.as_deref(), act),
    }
}

fn role_may(id: Option<i64>, role: Role, unit: Option<&str>, act: &Act<'_>) -> Result<(), Refusal> {
    match (role, act) {
        (
            Role::UnitReporter,
            Act::SendReport { unit: of }
            | Act::ReadUnitReports { unit: of }
            | Act::AnswerQuestion { unit: of },
        ) => unit.map_or(Err(Refusal::NotYourUnit), |own| own_unit(own, of)),
        (Role::UnitReporter, Act::TakeBackList { unit: Some(of) }) => {
            unit.map_or(Err(Refusal::NotYourUnit), |own| own_unit(own, of))
        }
        (Role::Board, Act::DecideChange { drafted_by } | Act::Advise { drafted_by })
            if drafted_by.is_some() && *drafted_by == id =>
        {
            Err(Refusal::OwnRecord)
        }
        (Role::Engineer | Role::Board, Act::ReviewDisclosure { drafted_by })
            if drafted_by.is_some() && *drafted_by == id =>
        {
            Err(Refusal::OwnDraft)
        }
        (Role::Board, Act::FinishAction { owner }) if owner.is_some() && *owner == id => Ok(()),
        (Role::Engineer, Act::HandOver { of }) if Some(*of) == id => Ok(()),
        (
            Role::Engineer,
            Act::SendReport { .. }
            | Act::ReadUnitReports { .. }
            | Act::ReadField
            | Act::Sort
            | Act::TakeBackList { .. }
            | Act::KeepExhibits
            | Act::ReadContact
            | Act::HoldContact
            | Act::DecideSeverity
            | Act::DraftChange
            | Act::ReadChanges
            | Act::RemarkOnChange
            | Act::KeepDocket
            | Act::CutIn
            | Act::ConcludeChange
            | Act::Publish
            | Act::ReadDrafts
            | Act::ReviewDisclosure { .. }
            | Act::PlanActions
            | Act::FinishAction { .. }
            | Act::Instruct
            | Act::JudgeLot
            | Act::Import
            | Act::Export
            | Act::ExtendCatalogue
            | Act::ManageUnitLinks
            | Act::ReadJournal,
        )
        | (
            Role::Board,
            Act::ReadUnitReports { .. }
            | Act::ReadField
            | Act::ReadChanges
            | Act::RemarkOnChange
            | Act::KeepDocket
            | Act::Advise { .. }
            | Act::DecideChange { .. }
            | Act::ReadDrafts
            | Act::ReviewDisclosure { .. }
            | Act::Export,
        )
        | (
            Role::Administrator,
            Act::ReadField
            | Act::ReadChanges
            | Act::Import
            | Act::Export
            | Act::ManageUnitLinks
            | Act::ManagePeople
            | Act::HandOver { .. }
            | Act::ReadJournal,
        ) => Ok(()),
        _ => Err(Refusal::NotYourRole),
    }
}

fn own_unit(own: &str, asked: &str) -> Result<(), Refusal> {
    if own == asked { Ok(()) } else { Err(Refusal::NotYourUnit) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn person(id: i64, role: Role) -> Actor {
        Actor::Person { id, name: "someone".into(), role, unit: Some("COVE-2".into()) }
    }

    #[test]
    fn a_unit_link_sends_and_reads_its_own_reports_and_nothing_else() {
        let link = Actor::UnitLink { unit: "COVE-2".into() };
        assert_eq!(may(&link, &Act::SendReport { unit: "COVE-2" }), Ok(()));
        assert_eq!(may(&link, &Act::ReadUnitReports { unit: "RIDGE-1" }), Err(Refusal::NotYourUnit));
        assert_eq!(may(&link, &Act::ReadField), Err(Refusal::SignInFirst));
    }

    #[test]
    fn a_list_is_taken_back_by_its_unit_and_by_engineers() {
        let back = |role, unit| may(&person(1, role), &Act::TakeBackList { unit });
        assert_eq!(back(Role::UnitReporter, Some("COVE-2")), Ok(()));
        assert_eq!(back(Role::UnitReporter, Some("RIDGE-1")), Err(Refusal::NotYourUnit));
        assert_eq!(back(Role::UnitReporter, None), Err(Refusal::NotYourRole));
        assert_eq!((back(Role::Engineer, Some("RIDGE-1")), back(Role::Engineer, None)), (Ok(()), Ok(())));
        assert_eq!(back(Role::Board, None), Err(Refusal::NotYourRole));
        assert_eq!(may(&person(1, Role::Board), &Act::KeepExhibits), Err(Refusal::NotYourRole));
        assert_eq!(may(&person(1, Role::Engineer), &Act::KeepExhibits), Ok(()));
    }

    #[test]
    fn nobody_decides_their_own_record() {
        let member = person(7, Role::Board);
        assert_eq!(may(&member, &Act::DecideChange { drafted_by: Some(7) }), Err(Refusal::OwnRecord));
        assert_eq!(may(&member, &Act::DecideChange { drafted_by: Some(8) }), Ok(()));
    }

    #[test]
    fn two_people_let_reports_go_to_outsiders() {
        let review = Act::ReviewDisclosure { drafted_by: Some(7) };
        assert_eq!(may(&person(7, Role::Engineer), &review), Err(Refusal::OwnDraft));
        assert_eq!(may(&person(8, Role::Engineer), &review), Ok(()));
        assert_eq!(may(&person(8, Role::Board), &review), Ok(()));
        assert_eq!(may(&person(8, Role::Administrator), &review), Err(Refusal::NotYourRole));
    }

    #[test]
    fn members_advise_on_any_record_but_their_own_and_engineers_do_not_advise() {
        let advise = Act::Advise { drafted_by: Some(7) };
        assert_eq!(may(&person(8, Role::Board), &advise), Ok(()));
        assert_eq!(may(&person(7, Role::Board), &advise), Err(Refusal::OwnRecord));
        assert_eq!(may(&person(8, Role::Engineer), &advise), Err(Refusal::NotYourRole));
        assert_eq!(may(&person(8, Role::Engineer), &Act::KeepDocket), Ok(()));
    }

    #[test]
    fn an_engineer_does_not_decide_and_a_board_member_does_not_sort() {
        assert_eq!(
            may(&person(1, Role::Engineer), &Act::DecideChange { drafted_by: None }),
            Err(Refusal::NotYourRole)
        );
        assert_eq!(may(&person(1, Role::Board), &Act::Sort), Err(Refusal::NotYourRole));
        assert_eq!(may(&person(1, Role::Engineer), &Act::Publish), Ok(()));
        assert_eq!(may(&person(1, Role::Board), &Act::Publish), Err(Refusal::NotYourRole));
    }

    #[test]
    fn engineers_and_board_read_what_any_unit_wrote_and_administrators_do_not() {
        let read = |role| may(&person(1, role), &Act::ReadUnitReports { unit: "RIDGE-1" });
        assert_eq!((read(Role::Engineer), read(Role::Board)), (Ok(()), Ok(())));
        assert_eq!(read(Role::Administrator), Err(Refusal::NotYourRole));
        assert_eq!(read(Role::UnitReporter), Err(Refusal::NotYourUnit));
        let drafts = |role| may(&person(1, role), &Act::ReadDrafts);
        assert_eq!((drafts(Role::Engineer), drafts(Role::Board)), (Ok(()), Ok(())));
        assert_eq!(drafts(Role::Administrator), Err(Refusal::NotYourRole));
    }

    #[test]
    fn a_key_reads_and_reports_as_its_role_and_decides_nothing() {
        let key = |role, unit: Option<&str>| Actor::Key {
            purpose: "workshop sheet".into(),
            role,
            unit: unit.map(Into::into),
        };
        let (engineer, unit) = (key(Role::Engineer, None), key(Role::UnitReporter, Some("COVE-2")));
        assert_eq!(may(&engineer, &Act::ReadField), Ok(()));
        assert_eq!(may(&engineer, &Act::Sort), Err(Refusal::NotYourRole));
        assert_eq!(
            may(&key(Role::Board, None), &Act::DecideChange { drafted_by: None }),
            Err(Refusal::NotYourRole)
        );
        assert_eq!(may(&unit, &Act::SendReport { unit: "COVE-2" }), Ok(()));
        assert_eq!(may(&unit, &Act::ReadUnitReports { unit: "RIDGE-1" }), Err(Refusal::NotYourUnit));
        assert_eq!(may(&unit, &Act::ReadField), Err(Refusal::NotYourRole));
    }

    #[test]
    fn a_board_member_finishes_only_what_is_theirs_to_do() {
        let member = person(7, Role::Board);
        assert_eq!(may(&member, &Act::FinishAction { owner: Some(7) }), Ok(()));
        assert_eq!(may(&member, &Act::FinishAction { owner: Some(8) }), Err(Refusal::NotYourRole));
        assert_eq!(may(&member, &Act::FinishAction { owner: None }), Err(Refusal::NotYourRole));
        assert_eq!(may(&member, &Act::PlanActions), Err(Refusal::NotYourRole));
    }

    #[test]
    fn an_engineer_hands_over_what_is_theirs_and_an_administrator_what_is_anybodys() {
        let over = |id, role| may(&person(id, role), &Act::HandOver { of: 7 });
        assert_eq!((over(7, Role::Engineer), over(1, Role::Administrator)), (Ok(()), Ok(())));
        assert_eq!(
            (over(8, Role::Engineer), over(7, Role::Board)),
            (Err(Refusal::NotYourRole), Err(Refusal::NotYourRole))
        );
    }

    #[test]
    fn contact_details_are_for_engineers_alone() {
        for act in [Act::ReadContact, Act::HoldContact] {
            assert_eq!(may(&person(1, Role::Engineer), &act), Ok(()));
            for role in [Role::Board, Role::Administrator, Role::UnitReporter] {
                assert_eq!(may(&person(1, role), &act), Err(Refusal::NotYourRole), "{role} {act:?}");
            }
            let key = Actor::Key { purpose: "workshop sheet".into(), role: Role::Engineer, unit: None };
            assert_eq!(may(&key, &act), Err(Refusal::NotYourRole));
        }
    }

    #[test]
    fn anybody_may_do_nothing() {
        assert_eq!(may(&Actor::Anybody, &Act::ReadChanges), Err(Refusal::SignInFirst));
    }
}
