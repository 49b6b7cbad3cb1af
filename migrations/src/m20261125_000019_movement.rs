//! The table of the ledger.

use crate::table::OnDelete;
use crate::table::creates;

creates!("movement", |table| table
    .id()
    .day("moved_on")
    .text("kind")
    .optional_texts(["lot_no"])
    .may_refer("part_no", ("part", "part_no"), OnDelete::Restrict)
    .optional_texts(["size"])
    .refers("unit", ("unit", "code"), OnDelete::Restrict)
    .whole("quantity")
    .may_refer("to_unit", ("unit", "code"), OnDelete::Restrict)
    .optional_texts(["to_lot_no", "condition", "reason", "row_ref"])
    .text("identity")
    .imported()
    .unique(&["identity"]));
