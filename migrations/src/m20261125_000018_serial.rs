//! Items known by number, and where they were.

use crate::table::OnDelete;
use crate::table::creates;

creates!("serial", |table| table
    .id()
    .texts(["serial", "lot_no"])
    .may_refer("unit", ("unit", "code"), OnDelete::Restrict)
    .optional_day("from_on")
    .optional_day("to_on")
    .text("identity")
    .imported()
    .unique(&["identity"]));
