//! Requirements on items.

use crate::table::OnDelete;
use crate::table::creates;

creates!("requirement", |table| table
    .id()
    .refers("item_part_no", ("part", "part_no"), OnDelete::Restrict)
    .texts(["requirement_no", "text"])
    .optional_texts(["measure", "limit_kind"])
    .optional_real("limit_value")
    .optional_texts(["configuration", "size"])
    .text("identity")
    .imported()
    .unique(&["identity"]));
