//! Failed items that were taken in: what each is, how long it is held, and where it went.

use crate::table::OnDelete;
use crate::table::creates;

creates!("exhibit", |table| table
    .id()
    .text("number")
    .refers("report_ref", ("report", "report_ref"), OnDelete::Restrict)
    .text("what")
    .day("received_on")
    .day("hold_until")
    .optional_day("released_on")
    .optional_texts(["released_to", "released_why", "released_by"])
    .text("made_by")
    .moment("made_at")
    .unique(&["number"]));
