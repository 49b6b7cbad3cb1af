//! Interim instructions: what units do with issued items until a change reaches them.

use crate::table::OnDelete;
use crate::table::creates;

creates!("instruction", |table| table
    .id()
    .texts(["number", "kind"])
    .refers("part_no", ("part", "part_no"), OnDelete::Restrict)
    .optional_texts(["maker"])
    .text("lots")
    .day("from_day")
    .optional_day("to_day")
    .texts(["words", "authority"])
    .may_refer("change_no", ("change", "change_no"), OnDelete::Restrict)
    .optional_texts(["recurrence_part_no", "recurrence_mode"])
    .optional_day("withdrawn_on")
    .optional_texts(["withdrawn_why"])
    .text("made_by")
    .moment("made_at")
    .unique(&["number"]));
