//! Documents that a change alters: drawings, specifications, manuals, contracts.

use crate::table::OnDelete;
use crate::table::creates;

creates!("change_document", |table| table
    .id()
    .refers("change_no", ("change", "change_no"), OnDelete::Cascade)
    .texts(["kind", "number"])
    .optional_texts(["revision", "note"]));
