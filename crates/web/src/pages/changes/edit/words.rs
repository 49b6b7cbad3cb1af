//! The form of problem and description.

use store::RecordEdit;

use super::typed::{Block, Typed};
use crate::pages::changes::load::Loaded;
use crate::pages::changes::{LONGEST_TITLE, TITLE_TOO_LONG};
use crate::view::{Ask, Faults};

pub(super) fn kept(loaded: &Loaded) -> Typed {
    let body = loaded.record.body.as_ref();
    Typed::default()
        .with("title", &loaded.record.change.title)
        .with_some("problem", body.map(|body| &body.problem))
        .with_some("description", body.map(|body| &body.description))
}

pub(super) fn blocks(typed: &Typed, faults: &Faults) -> Vec<Block> {
    vec![
        Ask::text("title", "Title", typed.text("title")).required().problem(faults.of("title")).into(),
        Ask::lines("problem", "Problem: why the change is needed", typed.text("problem"))
            .problem(faults.of("problem"))
            .into(),
        Ask::lines("description", "What changes, and how", typed.text("description"))
            .hint("Material, construction, dimensions; what stays as it is. No figures: those come from the books.")
            .problem(faults.of("description"))
            .into(),
    ]
}

pub(super) fn read(typed: &Typed) -> Result<RecordEdit, Faults> {
    let mut faults = typed.too_long();
    if typed.text("title").is_empty() {
        faults.add("title", "Write a title: the board reads it first.");
    }
    if typed.text("title").chars().count() > LONGEST_TITLE {
        faults.add("title", TITLE_TOO_LONG);
    }
    if !faults.is_empty() {
        return Err(faults);
    }
    let own = |field| typed.text(field).to_owned();
    Ok(RecordEdit::Words { title: own("title"), problem: own("problem"), description: own("description") })
}
