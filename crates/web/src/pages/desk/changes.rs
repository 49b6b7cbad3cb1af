//! Changes that wait: for the board's decision, or for the engineer to finish them.

use domain::change::ChangeState;
use domain::permission::{Act, Actor, may};
use store::ChangeRecord;

use super::Waiting;
use crate::address;

/// What waits for this reader among all changes.
pub(super) fn waiting(actor: &Actor, records: &[ChangeRecord]) -> Vec<Waiting> {
    records.iter().filter_map(|record| one(actor, record)).collect()
}

fn one(actor: &Actor, record: &ChangeRecord) -> Option<Waiting> {
    let drafted_by = record.body.as_ref().and_then(|body| body.drafted_by);
    let (act, verb) = match record.change.state? {
        ChangeState::Submitted => (Act::DecideChange { drafted_by }, "Decide on change"),
        ChangeState::Draft => (Act::DraftChange, "Finish the draft of change"),
        ChangeState::Deferred => (Act::DraftChange, "Answer the board on change"),
        ChangeState::Approved => (Act::CutIn, "Record the cut-in of change"),
        _ => return None,
    };
    may(actor, &act).is_ok().then(|| Waiting {
        since: record.since.map(|time| time.date_naive()),
        what: format!("{verb} {}", record.change.change_no),
        about: record.change.title.clone(),
        address: address::change(&record.change.change_no),
        harm: false,
    })
}

#[cfg(test)]
mod tests {
    use domain::change::Change;
    use domain::permission::Role;

    use super::*;

    fn record(state: ChangeState) -> ChangeRecord {
        let change = Change {
            change_no: "2026-014".into(),
            title: "Coated slider".into(),
            part_no: "RC-131".into(),
            from_revision: "A".into(),
            to_revision: "B".into(),
            modes: Vec::new(),
            state: Some(state),
            cut_in_lot: None,
            cut_in_on: None,
        };
        ChangeRecord {
            change,
            body: None,
            effectivity: Vec::new(),
            criteria: Vec::new(),
            answers: Vec::new(),
            decisions: Vec::new(),
            since: None,
        }
    }

    #[test]
    fn each_role_sees_the_changes_that_wait_for_it() {
        let records = [ChangeState::Draft, ChangeState::Submitted, ChangeState::Proved].map(record);
        let of = |role| {
            let actor = Actor::Person { id: 1, name: "Oda Fell".into(), role, unit: None };
            waiting(&actor, &records).into_iter().map(|one| one.what).collect::<Vec<_>>()
        };
        assert_eq!(of(Role::Engineer), ["Finish the draft of change 2026-014"]);
        assert_eq!(of(Role::Board), ["Decide on change 2026-014"]);
        assert!(of(Role::UnitReporter).is_empty() && of(Role::Administrator).is_empty());
    }
}
