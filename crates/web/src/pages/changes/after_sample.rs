//! What follows an approval in each way it can stand, for samples of a change's page.

use chrono::{DateTime, Days, NaiveDate, Utc};
use domain::action::{Action, ActionKind, Done};
use domain::change::ChangeState;
use domain::concerned::Concerned;
use domain::instruction::{Instruction, InstructionKind};
use domain::variance::Variance;
use store::{ChangeRecord, EvidenceSeal, Kept, KeptAction};

use super::after::Facts;

/// A built change shows what was to be done for it in each way it can stand; a draft shows nothing.
pub(super) fn facts(record: &ChangeRecord, today: NaiveDate, at: DateTime<Utc>) -> Facts {
    if !record.change.state.is_some_and(|state| state == ChangeState::Approved || state.is_built()) {
        return Facts::default();
    }
    let one = |id, kind, owner: Option<i64>, due: Option<u64>, done: Option<Done>| KeptAction {
        id,
        action: Action {
            change_no: record.change.change_no.clone(),
            kind,
            what: "Weigh size XL".into(),
            owner,
            due: due.map(|days| today - Days::new(days)),
            done,
        },
        owner_name: owner.map(|_| "Oda Fell".into()),
        at,
    };
    let done = Done { on: today, evidence: "protocol 12".into() };
    let number = |number: &str| number.to_owned();
    let concerned = Concerned { part_no: record.change.part_no.clone(), maker: None, lots: Vec::new() };
    let instruction = Instruction {
        kind: InstructionKind::Inspect,
        concerned: concerned.clone(),
        from: today,
        to: None,
        words: "Look at the teeth.".into(),
        authority: "Equipment engineer".into(),
        change_no: Some(record.change.change_no.clone()),
        recurrence: None,
        withdrawn: None,
    };
    let variance = Variance {
        concerned,
        departure: "Sliders of the old coating".into(),
        touches: Vec::new(),
        quantity: Some(200),
        from: today,
        expires: None,
        recurring: false,
        reason: "The coater is late.".into(),
        approved_by: "Jon Skerry".into(),
        change_no: Some(record.change.change_no.clone()),
        withdrawn: None,
    };
    let by = || "Oda Fell".to_owned();
    Facts {
        actions: vec![
            one(1, ActionKind::Condition, Some(2), Some(5), None),
            one(2, ActionKind::Drawing, None, None, None),
            one(3, ActionKind::Spares, Some(1), Some(1), Some(done)),
        ],
        instructions: vec![Kept { number: number("I-2026-001"), what: instruction, by: by(), at }],
        variances: vec![Kept { number: number("V-2026-001"), what: variance, by: by(), at }],
        seals: vec![EvidenceSeal { occasion: "decision".into(), digest: "0f".repeat(32), frozen_at: at }],
        holder: Some("Tove Bight".into()),
        has_accomplished_here: record.body.is_some(),
        has_weighed_here: record.body.is_some(),
    }
}
