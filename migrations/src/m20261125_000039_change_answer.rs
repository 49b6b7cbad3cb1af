//! Answers to requirements under a change.

use crate::table::OnDelete;
use crate::table::creates;

creates!("change_answer", |table| table
    .id()
    .refers("change_no", ("change", "change_no"), OnDelete::Cascade)
    .texts(["requirement_no", "verdict"])
    .optional_texts(["note"])
    .unique(&["change_no", "requirement_no"]));
