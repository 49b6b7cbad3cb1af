//! A change as those who sent a report read it: drafted, before the board, decided, built from a lot on, shown to work.

use domain::change::ChangeState as S;
use domain::change_record::{Disposition, Retrofit};
use store::ChangeRecord;

use super::became::Step;
use crate::format;

/// Every step that is on record, with its date where that is.
pub(super) fn steps(part: &str, record: &ChangeRecord) -> Vec<Step> {
    let change = &record.change;
    let body = record.body.as_ref();
    let drafted = format!("A change to the {part} was drafted: {}.", change.title.trim_end_matches('.'));
    let mut steps = vec![Step::on(body.map(|body| body.drafted_at), drafted)];
    if let Some(at) = body.and_then(|body| body.submitted_at) {
        steps.push(Step::on(Some(at), "It was put before the board, which decides on it."));
    }
    steps.extend(
        record
            .decisions
            .iter()
            .map(|decision| Step::on(Some(decision.at), decided(decision.decided.disposition))),
    );
    if change.is_built() {
        steps.push(built(record));
    }
    let is_told = match change.state {
        Some(S::Submitted) => body.is_some_and(|body| body.submitted_at.is_some()),
        Some(S::Approved | S::Disapproved | S::Deferred) => !record.decisions.is_empty(),
        Some(S::Proved | S::NotProved | S::Withdrawn) => false,
        Some(S::Draft | S::CutIn) | None => true,
    };
    if !is_told {
        steps.extend(change.state.and_then(stands).map(|says| Step::on(record.since, says)));
    }
    steps
}

const fn decided(disposition: Disposition) -> &'static str {
    match disposition {
        Disposition::Approve => "The board approved it.",
        Disposition::ApproveWithConditions => "The board approved it, on conditions.",
        Disposition::Disapprove => "The board decided against it.",
        Disposition::Defer => "The board wants to know more before it decides.",
    }
}

const fn stands(state: S) -> Option<&'static str> {
    match state {
        S::Submitted => Some("It is before the board, which decides on it."),
        S::Approved => Some(decided(Disposition::Approve)),
        S::Disapproved => Some(decided(Disposition::Disapprove)),
        S::Deferred => Some(decided(Disposition::Defer)),
        S::Proved => Some("Reports since then show that it works."),
        S::NotProved => Some("Reports since then don't show that it works. The engineer looks for more."),
        S::Withdrawn => Some("It was given up."),
        S::Draft | S::CutIn => None,
    }
}

fn built(record: &ChangeRecord) -> Step {
    let lot = record.change.cut_in_lot.as_deref();
    let says = lot.map_or_else(
        || "New items are built to it.".to_owned(),
        |lot| format!("New items are built to it, from lot {lot} on."),
    );
    Step { date: record.change.cut_in_on.map(format::date), says }
}

/// What an approved change means for items already issued.
pub(super) fn for_issued_items(record: &ChangeRecord) -> Option<&'static str> {
    let is_approved = record.change.state == Some(S::Approved) || record.change.is_built();
    let retrofit = record.body.as_ref().and_then(|body| body.retrofit).filter(|_| is_approved)?;
    Some(match retrofit {
        Retrofit::NextLot | Retrofit::RunOut => "Items already issued are not changed.",
        Retrofit::OnReturn => "Items already issued are changed when they come back to the store.",
        Retrofit::RecallAll => "All items already issued are called back to be changed. Hand yours in.",
    })
}
