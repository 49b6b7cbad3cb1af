//! Events in the life of items.

use crate::table::OnDelete;
use crate::table::creates;

creates!("event", |table| table
    .id()
    .day("happened_on")
    .refers("unit", ("unit", "code"), OnDelete::Restrict)
    .optional_texts(["serial", "lot_no"])
    .whole("quantity")
    .text("kind")
    .may_refer("part_no", ("part", "part_no"), OnDelete::Restrict)
    .optional_texts(["new_lot_no", "outcome"])
    .text("identity")
    .imported()
    .unique(&["identity"]));
