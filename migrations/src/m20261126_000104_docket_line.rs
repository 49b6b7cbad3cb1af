//! The changes that a meeting looks at, in order.

use crate::table::OnDelete;
use crate::table::creates;

creates!("docket_line", |table| table
    .id()
    .refers("meeting_id", ("meeting", "id"), OnDelete::Cascade)
    .refers("change_no", ("change", "change_no"), OnDelete::Cascade)
    .whole("place")
    .unique(&["meeting_id", "change_no"]));
