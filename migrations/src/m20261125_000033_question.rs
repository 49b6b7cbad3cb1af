//! Questions to units about their reports.

use crate::table::OnDelete;
use crate::table::creates;

creates!("question", |table| table
    .id()
    .refers("report_ref", ("report", "report_ref"), OnDelete::Cascade)
    .text("asked_by")
    .moment("asked_at")
    .text("question")
    .optional_texts(["answer"])
    .optional_moment("answered_at"));
