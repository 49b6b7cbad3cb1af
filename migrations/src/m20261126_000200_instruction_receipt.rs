//! Units that said an instruction came.

use crate::table::OnDelete;
use crate::table::creates;

creates!("instruction_receipt", |table| table
    .id()
    .refers("instruction_id", ("instruction", "id"), OnDelete::Cascade)
    .refers("unit", ("unit", "code"), OnDelete::Restrict)
    .moment("received_at")
    .unique(&["instruction_id", "unit"]));
