//! Masses of specimens.

use crate::table::OnDelete;
use crate::table::creates;

creates!("weighing", |table| table
    .id()
    .refers("part_no", ("part", "part_no"), OnDelete::Restrict)
    .text("revision")
    .optional_texts(["size"])
    .text("specimen")
    .real("mass_g")
    .text("identity")
    .imported()
    .unique(&["identity"]));
