//! Holds on reports: while one stands, the contact details of the report are not deleted.

use crate::table::OnDelete;
use crate::table::creates;

creates!("hold", |table| table
    .id()
    .refers("report_ref", ("report", "report_ref"), OnDelete::Restrict)
    .texts(["reason", "held_by"])
    .moment("held_at")
    .optional_texts(["lifted_why", "lifted_by"])
    .optional_moment("lifted_at"));
