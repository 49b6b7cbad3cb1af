//! Mails that tell of failures, from their arrival until they are reports.

use crate::table::OnDelete;
use crate::table::creates;

creates!("mailed", |table| table
    .id()
    .texts(["key", "sender", "subject", "story"])
    .moment("arrived_at")
    .may_refer("unit", ("unit", "code"), OnDelete::Restrict)
    .may_refer("report_ref", ("report", "report_ref"), OnDelete::Restrict)
    .optional_texts(["dismissed_why"])
    .unique(&["key"]));
