//! What lots were made from.

use crate::table::creates;

creates!("lot_use", |table| table
    .id()
    .texts(["lot_no", "used_lot_no"])
    .optional_real("quantity")
    .imported()
    .unique(&["lot_no", "used_lot_no"]));
