//! What people decide about recurrences.

use crate::table::OnDelete;
use crate::table::creates;

creates!("recurrence", |table| table
    .id()
    .text("sheet_no")
    .refers("part_no", ("part", "part_no"), OnDelete::Restrict)
    .texts(["mode", "state"])
    .optional_whole("severity")
    .optional_texts(["probability", "severity_reason", "severity_by"])
    .optional_moment("severity_at")
    .optional_texts(["owner", "cause", "next_step"])
    .unique(&["sheet_no"])
    .unique(&["part_no", "mode"]));
