//! What was decided on a recurrence while its page was open, and what its record says now.

use domain::analysis::Recurrence;
use domain::field::Field;
use store::{JournalEntry, RecurrenceAct, RecurrenceRecord};

use super::risk::risk_of;
use crate::view::Overtaken;

/// The notice above the form that comes back, from the journal's lines, latest first; nothing where nothing came in
/// that the decision would overwrite.
pub(super) fn told(
    (field, r): (&Field, &Recurrence),
    (journal, record): (&[JournalEntry], Option<&RecurrenceRecord>),
    (act, shown): (RecurrenceAct, i64),
) -> Option<Overtaken> {
    let overtakes =
        |entry: &&JournalEntry| entry.id > shown && act.overtaken_by().contains(&entry.act.as_str());
    let mut since = journal.iter().rev().filter(overtakes).peekable();
    since.peek()?;
    let done = since.map(|entry| (entry.actor.clone(), words(&entry.act).to_owned(), entry.at));
    Some(Overtaken::new("recurrence", done, standing(field, r, record)))
}

fn words(act: &str) -> &'static str {
    let known = [
        (RecurrenceAct::TakeUp, "took this recurrence up"),
        (RecurrenceAct::Judge, "judged its risk"),
        (RecurrenceAct::Note, "wrote down its cause and next step"),
        (RecurrenceAct::Settle, "settled it"),
    ];
    known.into_iter().find(|(known, _)| known.word() == act).map_or("passed it on", |(_, words)| words)
}

fn standing(field: &Field, r: &Recurrence, record: Option<&RecurrenceRecord>) -> Vec<(&'static str, String)> {
    let judgement = record.and_then(|record| record.judgement.as_ref());
    let listed = [
        ("stands", record.map(|record| record.state.to_string())),
        ("owner", record.and_then(|record| record.owner.clone())),
        ("risk", Some(risk_of(field, r, record).words())),
        ("reasons", judgement.map(|judgement| judgement.reason.clone())),
        ("cause", record.and_then(|record| record.cause.clone())),
        ("next step", record.and_then(|record| record.next_step.clone())),
    ];
    listed.into_iter().filter_map(|(name, value)| Some((name, value?))).collect()
}

/// The number of the latest line, for a decision on what it and the record say; 0 where there is none.
pub(super) fn shown(journal: &[JournalEntry]) -> i64 {
    journal.first().map_or(0, |entry| entry.id)
}
