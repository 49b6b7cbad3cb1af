//! Answers to the class check list.

use crate::table::OnDelete;
use crate::table::creates;

creates!("change_criterion", |table| table
    .id()
    .refers("change_no", ("change", "change_no"), OnDelete::Cascade)
    .text("criterion")
    .flag("touched")
    .optional_texts(["reason"])
    .unique(&["change_no", "criterion"]));
