//! Lines of structure.

use crate::table::OnDelete;
use crate::table::creates;

creates!("component", |table| table
    .id()
    .refers("parent_part_no", ("part", "part_no"), OnDelete::Restrict)
    .text("parent_revision")
    .refers("child_part_no", ("part", "part_no"), OnDelete::Restrict)
    .text("child_revision")
    .real("quantity")
    .optional_texts(["position", "size", "configuration"])
    .text("identity")
    .imported()
    .unique(&["identity"]));
