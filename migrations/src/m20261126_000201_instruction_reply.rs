//! What units replied to instructions, lot by lot.

use crate::table::OnDelete;
use crate::table::creates;

creates!("instruction_reply", |table| table
    .id()
    .refers("instruction_id", ("instruction", "id"), OnDelete::Cascade)
    .refers("unit", ("unit", "code"), OnDelete::Restrict)
    .text("lot_no")
    .day("replied_on")
    .whole("held")
    .whole("checked")
    .whole("found")
    .whole("not_located")
    .whole("turned_in")
    .unique(&["instruction_id", "unit", "lot_no"]));
