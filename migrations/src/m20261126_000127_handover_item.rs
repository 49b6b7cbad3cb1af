//! What a hand-over passed on.

use crate::table::OnDelete;
use crate::table::creates;

creates!("handover_item", |table| table
    .id()
    .refers("handover_id", ("handover", "id"), OnDelete::Cascade)
    .texts(["kind", "key", "title"]));
