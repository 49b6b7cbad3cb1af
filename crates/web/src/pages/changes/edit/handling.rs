//! The form of priority, justification and cost.

use domain::class::{Justification, Priority};
use domain::target_time::Edition;
use store::RecordEdit;

use super::typed::{Block, Typed};
use crate::format;
use crate::pages::changes::load::Loaded;
use crate::pages::changes::view::edition_of;
use crate::view::{Ask, Choice, Choices, Faults};

pub(super) fn kept(loaded: &Loaded) -> Typed {
    let Some(body) = loaded.record.body.as_ref() else { return Typed::default() };
    Typed::default()
        .with_some("priority", body.priority.map(Priority::word))
        .with_some("justification", body.justification.map(Justification::word))
        .with_some("cost_note", body.cost_note.as_ref())
        .with("edition", &edition_of(&loaded.record).name)
}

pub(super) fn blocks(typed: &Typed, faults: &Faults) -> Vec<Block> {
    let priorities = Priority::ALL.iter().map(|priority| {
        let days = |edition: &Edition| format::counted(u64::from(edition.days(*priority)), "day", "days");
        let each = Edition::all().iter().map(|edition| format!("{} ({})", days(edition), edition.name));
        Choice::new(priority.word(), priority.words(), typed.text("priority") == priority.word())
            .hint(format!("from submission to decision: {}", each.collect::<Vec<_>>().join(", ")))
    });
    let reasons = Justification::ALL.iter().map(|reason| {
        Choice::new(reason.word(), reason.words(), typed.text("justification") == reason.word())
    });
    let named = typed.filled("edition").unwrap_or_else(|| Edition::in_force().name.clone());
    let editions = Edition::all().iter().map(|edition| {
        Choice::new(&*edition.name, &*edition.name, edition.name == named).hint(&*edition.source)
    });
    vec![
        Choices::one("priority", "How soon it must be decided", priorities.collect())
            .problem(faults.of("priority"))
            .into(),
        Choices::one("edition", "Target times by", editions.collect())
            .hint("Your own directive goes first; name the edition the board works to.")
            .problem(faults.of("edition"))
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
    let edition = typed.filled("edition");
    if edition.as_deref().is_some_and(|name| Edition::find(name).is_err()) {
        faults.add("edition", "Choose one of the editions.");
    }
    match (priority, justification) {
        (Some(priority), Some(justification)) if faults.is_empty() => {
            let cost_note = typed.filled("cost_note");
            Ok(RecordEdit::Handling { priority, justification, cost_note, edition })
        }
        _ => Err(faults),
    }
}
