//! Variances: leave to depart from a requirement for so many items or so long.

use crate::table::OnDelete;
use crate::table::creates;

creates!("variance", |table| table
    .id()
    .text("number")
    .refers("part_no", ("part", "part_no"), OnDelete::Restrict)
    .optional_texts(["maker"])
    .texts(["lots", "departure", "touches"])
    .optional_whole("quantity")
    .day("from_day")
    .optional_day("expires")
    .flag("recurring")
    .texts(["reason", "approved_by"])
    .may_refer("change_no", ("change", "change_no"), OnDelete::Restrict)
    .optional_day("withdrawn_on")
    .optional_texts(["withdrawn_why"])
    .text("made_by")
    .moment("made_at")
    .unique(&["number"]));
