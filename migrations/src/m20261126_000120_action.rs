//! What is to be done for a change between its approval and its cut-in.

use crate::table::OnDelete;
use crate::table::creates;

creates!("action", |table| table
    .id()
    .refers("change_no", ("change", "change_no"), OnDelete::Cascade)
    .texts(["kind", "what"])
    .may_refer("owner_id", ("app_user", "id"), OnDelete::Restrict)
    .optional_day("due")
    .optional_day("done_on")
    .optional_texts(["evidence"])
    .text("made_by")
    .moment("made_at"));
