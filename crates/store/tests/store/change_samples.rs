//! A change as the tests draft, submit and decide it.

use domain::change_record::Disposition;
use domain::class::Class;
use domain::permission::{Actor, Role};
use domain::proof_plan::ProofPlan;
use store::{Basis, NewChange, NewDecision, NewEvidence, Shown, digest_of};

use crate::database::{Fresh, behind_the_back};
use crate::samples::{at, somebody};

pub(crate) async fn parts(fresh: &Fresh) {
    for sql in [
        "INSERT INTO part (part_no) VALUES ('ZIP-9')",
        "INSERT INTO part_revision (part_no, revision, name, kind) VALUES ('ZIP-9', 'A', 'slide fastener', 'ZIP')",
    ] {
        behind_the_back(&fresh.url, sql).await.expect("a part");
    }
}

pub(crate) fn zip_change() -> NewChange {
    NewChange {
        title: "Wider slide fastener".into(),
        part_no: "ZIP-9".into(),
        from_revision: "A".into(),
        to_revision: "B".into(),
        modes: vec!["ZIP-1".into()],
        recurrence: Some(("ZIP-9".into(), "ZIP-1".into())),
        problem: "It splits.".into(),
    }
}

pub(crate) fn decision(disposition: Disposition) -> NewDecision {
    NewDecision {
        disposition,
        reason: "enough shown".into(),
        conditions: None,
        signature: "Ada Brook".into(),
    }
}

/// What a decision rests on where a draft went before the board as it was, without evidence.
pub(crate) fn basis() -> Basis {
    Basis {
        shown: Shown { version: 2, evidence: None },
        evidence: NewEvidence { occasion: "approve".into(), document: "{\"a\":1}".into() },
        plan: ProofPlan::default(),
        planned: None,
    }
}

/// ... with evidence.
pub(crate) fn basis_on(frozen: &NewEvidence) -> Basis {
    Basis { shown: Shown { version: 2, evidence: Some(digest_of(&frozen.document)) }, ..basis() }
}

/// A change drafted, submitted and approved on three days, with the engineer and the chair.
pub(crate) async fn approved(fresh: &Fresh) -> (Actor, Actor, String) {
    parts(fresh).await;
    let store = &fresh.store;
    let engineer = somebody(store, "fell", Role::Engineer).await;
    let chair = somebody(store, "brook", Role::Board).await;
    let no = store.draft_change(&engineer, at(1), &zip_change()).await.expect("drafted");
    store.submit_change(&engineer, at(2), &no, 1, Class::One, None).await.expect("submitted");
    let decision = decision(Disposition::Approve);
    store.decide_change(&chair, at(3), &no, &decision, &basis()).await.expect("decided");
    (engineer, chair, no)
}
