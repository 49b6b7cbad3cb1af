//! Where the answer to a report may be mailed: apart from the report, and deleted after a time.

use crate::table::OnDelete;
use crate::table::creates;

creates!("contact", |table| table
    .id()
    .refers("report_ref", ("report", "report_ref"), OnDelete::Cascade)
    .texts(["address", "language"])
    .moment("given_at")
    .optional_moment("stopped_at")
    .optional_texts(["stopped_why"])
    .unique(&["report_ref"])
    .found_by("address"));
