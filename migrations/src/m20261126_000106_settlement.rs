//! What was stated when recurrences were settled; one that comes back and is settled again has several.

use crate::table::OnDelete;
use crate::table::creates;

creates!("settlement", |table| table
    .id()
    .refers("recurrence_id", ("recurrence", "id"), OnDelete::Restrict)
    .refers("change_no", ("change", "change_no"), OnDelete::Restrict)
    .whole("with_change")
    .whole("in_service")
    .texts(["stock", "remains", "accepted_by", "settled_by"])
    .moment("settled_at"));
