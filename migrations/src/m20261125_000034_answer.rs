//! Answers to units about their reports.

use crate::table::OnDelete;
use crate::table::creates;

creates!("answer", |table| table
    .id()
    .refers("report_ref", ("report", "report_ref"), OnDelete::Cascade)
    .texts(["text", "by"])
    .moment("at"));
