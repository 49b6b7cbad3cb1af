//! Hand-overs: one act that passes what somebody has open to a successor.

use crate::table::OnDelete;
use crate::table::creates;

creates!("handover", |table| table
    .id()
    .refers("from_id", ("app_user", "id"), OnDelete::Restrict)
    .refers("to_id", ("app_user", "id"), OnDelete::Restrict)
    .optional_texts(["note"])
    .text("made_by")
    .moment("made_at"));
