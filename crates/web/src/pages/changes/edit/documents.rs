//! The form of the documents that a change alters.

use domain::change_record::DocumentKind;
use store::{AffectedDocument, RecordEdit};

use super::typed::{Block, Typed};
use crate::format;
use crate::pages::changes::load::Loaded;
use crate::view::{Ask, Choice, Choices, Faults};

/// Lines that are offered at least.
const LINES: usize = 3;

/// One more line than there is, so that there is always room for another.
fn lines(loaded: &Loaded) -> usize {
    LINES.max(loaded.record.argued.documents.len() + 1)
}

pub(super) fn kept(loaded: &Loaded) -> Typed {
    loaded.record.argued.documents.iter().enumerate().fold(Typed::default(), |typed, (at, document)| {
        typed
            .with(format!("kind-{at}"), document.kind.word())
            .with(format!("document-{at}"), &document.number)
            .with_some(format!("revision-{at}"), document.revision.as_ref())
            .with_some(format!("note-{at}"), document.note.as_ref())
    })
}

pub(super) fn blocks(loaded: &Loaded, typed: &Typed, faults: &Faults) -> Vec<Block> {
    let mut blocks = vec![Block::says("Empty a line's number to take it off the list.")];
    for at in 0..lines(loaded) {
        let [kind, number, revision, note] = names(at);
        blocks.push(Block::head(format!("Document {}", at + 1)));
        let ask = Ask::text(number.clone(), "Number or title", typed.text(&number)).code();
        blocks.push(ask.problem(faults.of(&number)).into());
        let options = DocumentKind::ALL
            .iter()
            .map(|one| Choice::new(one.word(), format::titled(one.word()), typed.text(&kind) == one.word()));
        let choices = Choices::one(kind.clone(), "Kind", options.collect());
        blocks.push(choices.problem(faults.of(&kind)).into());
        blocks.push(Ask::text(revision.clone(), "Revision now", typed.text(&revision)).code().into());
        blocks.push(Ask::text(note.clone(), "What alters", typed.text(&note)).into());
    }
    blocks
}

fn names(at: usize) -> [String; 4] {
    ["kind", "document", "revision", "note"].map(|word| format!("{word}-{at}"))
}

pub(super) fn read(loaded: &Loaded, typed: &Typed) -> Result<RecordEdit, Faults> {
    let mut faults = typed.too_long();
    let mut documents = Vec::new();
    for at in 0..lines(loaded) {
        let [kind, number, revision, note] = names(at);
        let Some(named) = typed.filled(&number) else { continue };
        match typed.text(&kind).parse() {
            Ok(kind) => documents.push(AffectedDocument {
                kind,
                number: named,
                revision: typed.filled(&revision),
                note: typed.filled(&note),
            }),
            Err(_) => faults.add(&kind, "Choose what kind of document it is."),
        }
    }
    if faults.is_empty() { Ok(RecordEdit::Documents(documents)) } else { Err(faults) }
}
