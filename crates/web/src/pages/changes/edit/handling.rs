//! The form of priority, justification and cost.

use domain::class::{Justification, PRIORITY_EDITION, Priority};
use store::RecordEdit;

use super::typed::{Block, Faults, Typed};
use crate::format;
use crate::pages::changes::load::Loaded;
use crate::view::{Ask, Choice, Choices};

pub(super) fn kept(loaded: &Loaded) -> Typed {
    let Some(body) = loaded.record.body.as_ref() else { return Typed::default() };
    Typed::default()
        .with_some("priority", body.priority.map(Priority::word))
        .with_some("justification", body.justification.map(Justification::word))
        .with_some("cost_note", body.cost_note.as_ref())
}

pub(super) fn blocks(typed: &Typed, faults: &Faults) -> Vec<Block> {
    let priorities = Priority::ALL.iter().map(|priority| {
        let days = format::counted(u64::from(priority.target_days()), "day", "days");
        Choice::new(priority.word(), priority.words(), typed.text("priority") == priority.word())
            .hint(format!("to be decided within {days} of submission"))
    });
    let reasons = Justification::ALL.iter().map(|reason| {
        Choice::new(reason.word(), reason.words(), typed.text("justification") == reason.word())
    });
    vec![
        Choices::one("priority", "How soon it must be decided", priorities.collect())
            .hint(format!("Target times: {PRIORITY_EDITION}"))
            .problem(faults.of("priority"))
            .into(),
        Choices::one("justification", "Why it is made", reasons.collect())
            .problem(faults.of("justification"))
            .into(),
        Ask::lines("cost_note", "Cost", typed.text("cost_note"))
            .hint("What a piece costs more or less, tools, conversion of issued stock; and from whom the figures are.")
            .problem(faults.of("cost_note"))
            .into(),
    ]
}

pub(super) fn read(typed: &Typed) -> Result<RecordEdit, Faults> {
    let mut faults = typed.too_long();
    let priority = typed.text("priority").parse::<Priority>().ok();
    let justification = typed.text("justification").parse::<Justification>().ok();
    if priority.is_none() {
        faults.add("priority", "Choose how soon it must be decided.");
    }
    if justification.is_none() {
        faults.add("justification", "Choose why it is made.");
    }
    match (priority, justification) {
        (Some(priority), Some(justification)) if faults.is_empty() => {
            Ok(RecordEdit::Handling { priority, justification, cost_note: typed.filled("cost_note") })
        }
        _ => Err(faults),
    }
}
