//! Decisions of the board.

use crate::table::OnDelete;
use crate::table::creates;

creates!("change_decision", |table| table
    .id()
    .refers("change_no", ("change", "change_no"), OnDelete::Cascade)
    .text("disposition")
    .texts(["reason"])
    .optional_texts(["conditions"])
    .may_refer("decided_by", ("app_user", "id"), OnDelete::Restrict)
    .moment("decided_at")
    .text("signature"));
