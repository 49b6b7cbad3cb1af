//! Changes that wait: for the board's decision with what waiting costs, or for the engineer with what they still lack.

use domain::change::ChangeState;
use domain::permission::{Act, Actor, may};
use store::ChangeRecord;

use super::{Harm, Waiting};
use crate::address;
use crate::format;
use crate::pages::changes::RecordView;
use crate::pages::status::line::{Line, Unsettled};
use crate::pages::status::words::{cost, reach};
use crate::picture::Picture;

/// Things that a draft lacks and that are named; the rest are counted.
const NAMED: usize = 2;

/// What waits for this reader among all changes.
pub(super) fn waiting(actor: &Actor, picture: &Picture, lines: &[Line<'_>]) -> Vec<Waiting> {
    lines.iter().filter_map(|line| one(actor, picture, line)).collect()
}

fn one(actor: &Actor, picture: &Picture, line: &Line<'_>) -> Option<Waiting> {
    if let Some(unsettled) = &line.unsettled {
        return to_settle(actor, line, unsettled);
    }
    let (act, verb) = task(line.record, line.state)?;
    may(actor, &act).ok()?;
    let (change, says) = (&line.record.change, &line.record.change.title);
    Some(Waiting {
        since: line.since,
        what: format!("{verb} {}", change.change_no),
        about: match line.state {
            ChangeState::Submitted => {
                format!("{says}. Reported failures a year as things stand: {}.", cost(line))
            }
            ChangeState::Draft | ChangeState::Deferred if line.record.body.is_some() => {
                let missing = RecordView::new(line.record, picture).missing;
                format!("{says}. {}", lacks(&missing.into_iter().map(|one| one.what).collect::<Vec<_>>()))
            }
            _ => says.clone(),
        },
        address: address::change(&change.change_no),
        harm: Harm::None,
    })
}

/// What a proved change cures waits to be settled by who has it; by every engineer while nobody does. One that is back
/// stands among the recurrences.
fn to_settle(actor: &Actor, line: &Line<'_>, unsettled: &Unsettled) -> Option<Waiting> {
    may(actor, &Act::DecideSeverity).ok()?;
    let Actor::Person { id, .. } = actor else { return None };
    // Whoever is known by an old name alone can't be told from others: it waits for every engineer.
    let is_theirs = unsettled.owner_id.is_none_or(|owner| owner == *id);
    (is_theirs && !unsettled.is_back).then(|| Waiting {
        since: line.since,
        what: format::titled(&unsettled.step()),
        about: format!(
            "Change {} against it is proved. Reach: {}.",
            line.record.change.change_no,
            reach(line)
        ),
        address: format!("{}/settle", unsettled.address),
        harm: Harm::None,
    })
}

/// What is to be done with a change, and as which act.
fn task(record: &ChangeRecord, state: ChangeState) -> Option<(Act<'static>, &'static str)> {
    let drafted_by = record.body.as_ref().and_then(|body| body.drafted_by);
    Some(match state {
        ChangeState::Submitted => (Act::DecideChange { drafted_by }, "Decide on change"),
        ChangeState::Draft => (Act::DraftChange, "Finish the draft of change"),
        ChangeState::Deferred => (Act::DraftChange, "Answer the board on change"),
        ChangeState::Approved => (Act::CutIn, "Record the cut-in of change"),
        _ => return None,
    })
}

fn lacks(missing: &[String]) -> String {
    let named = missing.iter().take(NAMED).map(String::as_str).collect::<Vec<_>>().join("; ");
    match missing.len() {
        0 => "Nothing is missing: it can go before the board.".to_owned(),
        1..=NAMED => format!("It lacks {named}."),
        more => format!("It lacks {named}; and {} more.", more - NAMED),
    }
}

#[cfg(test)]
mod tests {
    use domain::permission::Role;

    use super::*;
    use crate::testing::change_record;

    #[test]
    fn each_role_sees_the_changes_that_wait_for_it() {
        let states = [ChangeState::Draft, ChangeState::Submitted, ChangeState::Approved, ChangeState::Proved];
        let of = |role| {
            let actor = Actor::Person { id: 1, name: "Oda Fell".into(), role, unit: None };
            let tasks = states.iter().filter_map(|&state| task(&change_record(state), state));
            tasks.filter(|(act, _)| may(&actor, act).is_ok()).map(|(_, verb)| verb).collect::<Vec<_>>()
        };
        assert_eq!(of(Role::Engineer), ["Finish the draft of change", "Record the cut-in of change"]);
        assert_eq!(of(Role::Board), ["Decide on change"]);
        assert!(of(Role::UnitReporter).is_empty() && of(Role::Administrator).is_empty());
    }

    #[test]
    fn what_a_proved_change_cures_waits_for_its_owner_and_for_every_engineer_while_it_has_none() {
        let proved = change_record(ChangeState::Proved);
        let waits = |owner: Option<i64>, is_back, role| {
            let actor = Actor::Person { id: 1, name: "Oda Fell".into(), role, unit: None };
            let unsettled = Unsettled {
                what: "front slide fastener: chain split".into(),
                address: "/recurrences/RC-131/ZIP-1".into(),
                // Of one name, for names tell nothing.
                owner: owner.map(|_| "Oda Fell".into()),
                owner_id: owner,
                is_back,
            };
            let line = Line {
                record: &proved,
                state: ChangeState::Proved,
                since: None,
                result: None,
                risk: None,
                unsettled: Some(unsettled.clone()),
            };
            to_settle(&actor, &line, &unsettled)
        };
        let own = waits(Some(1), false, Role::Engineer).unwrap();
        assert_eq!(own.what, "Settle the recurrence of front slide fastener: chain split");
        assert_eq!(own.address, "/recurrences/RC-131/ZIP-1/settle");
        assert!(waits(None, false, Role::Engineer).is_some());
        assert!(waits(Some(2), false, Role::Engineer).is_none());
        assert!(waits(Some(1), true, Role::Engineer).is_none(), "what is back stands elsewhere");
        assert!(waits(None, false, Role::Board).is_none());
    }

    #[test]
    fn a_draft_names_what_it_lacks_first_and_counts_the_rest() {
        let missing: Vec<String> = ["a", "b", "c", "d"].map(str::to_owned).into();
        assert_eq!(lacks(&missing), "It lacks a; b; and 2 more.");
        assert_eq!(lacks(&missing[..2]), "It lacks a; b.");
        assert_eq!(lacks(&[]), "Nothing is missing: it can go before the board.");
    }
}
