//! A change as those who sent a report read it: drafted, before the board, decided, built from a lot on, shown to work.

use domain::change::ChangeState as S;
use domain::change_record::{Disposition, Retrofit};
use store::ChangeRecord;

use super::became::Step;
use crate::tongue::Tongue;

/// Every step that is on record, with its date where that is.
pub(super) fn steps(tongue: Tongue, part: &str, record: &ChangeRecord) -> Vec<Step> {
    let change = &record.change;
    let body = record.body.as_ref();
    let title = change.title.trim_end_matches('.');
    let drafted = tongue.with("became-drafted", &[("part", part.into()), ("title", title.into())]);
    let mut steps = vec![Step::on(tongue, body.map(|body| body.drafted_at), drafted)];
    if let Some(at) = body.and_then(|body| body.submitted_at) {
        steps.push(Step::on(tongue, Some(at), tongue.say("became-submitted")));
    }
    steps.extend(record.decisions.iter().zip(1..).map(|(decision, n)| {
        let says = decided(tongue, decision.decided.disposition);
        Step::on(tongue, Some(decision.at), says).news(format!("decision {n} of {}", change.change_no))
    }));
    if change.is_built() {
        steps.push(built(tongue, record));
    }
    let is_told = match change.state {
        Some(S::Submitted) => body.is_some_and(|body| body.submitted_at.is_some()),
        Some(S::Approved | S::Disapproved | S::Deferred) => !record.decisions.is_empty(),
        Some(S::Proved | S::NotProved | S::Withdrawn) => false,
        Some(S::Draft | S::CutIn) | None => true,
    };
    if !is_told {
        let stands = change.state.and_then(|state| stands(tongue, state));
        let key = |state: S| format!("{} {}", state.word(), change.change_no);
        // What is before the board is no news to who waits for a cure.
        let news = change.state.filter(|state| *state != S::Submitted).map(key);
        steps.extend(stands.map(|says| Step { news, ..Step::on(tongue, record.since, says) }));
    }
    steps
}

fn decided(tongue: Tongue, disposition: Disposition) -> String {
    tongue.word("became", disposition)
}

fn stands(tongue: Tongue, state: S) -> Option<String> {
    match state {
        S::Submitted => Some(tongue.say("became-before-board")),
        S::Approved => Some(decided(tongue, Disposition::Approve)),
        S::Disapproved => Some(decided(tongue, Disposition::Disapprove)),
        S::Deferred => Some(decided(tongue, Disposition::Defer)),
        S::Proved => Some(tongue.say("became-proved")),
        S::NotProved => Some(tongue.say("became-not-proved")),
        S::Withdrawn => Some(tongue.say("became-withdrawn")),
        S::Draft | S::CutIn => None,
    }
}

fn built(tongue: Tongue, record: &ChangeRecord) -> Step {
    let lot = record.change.cut_in_lot.as_deref();
    let says = lot.map_or_else(
        || tongue.say("became-built"),
        |lot| tongue.with("became-built-from", &[("lot", lot.into())]),
    );
    let date = record.change.cut_in_on.map(|day| tongue.date(day));
    Step { date, says, news: Some(format!("cut in {}", record.change.change_no)) }
}

/// What an approved change means for items already issued.
pub(super) fn for_issued_items(tongue: Tongue, record: &ChangeRecord) -> Option<String> {
    let is_approved = record.change.state == Some(S::Approved) || record.change.is_built();
    let retrofit = record.body.as_ref().and_then(|body| body.retrofit).filter(|_| is_approved)?;
    Some(tongue.say(match retrofit {
        Retrofit::NextLot | Retrofit::RunOut => "issued-kept",
        Retrofit::OnReturn => "issued-on-return",
        Retrofit::RecallAll => "issued-recalled",
    }))
}
