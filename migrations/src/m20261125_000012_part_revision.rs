//! Released revisions of parts.

use crate::table::OnDelete;
use crate::table::creates;

creates!("part_revision", |table| table
    .id()
    .refers("part_no", ("part", "part_no"), OnDelete::Restrict)
    .texts(["revision", "name", "kind"])
    .optional_day("released_on")
    .optional_texts(["replaces_revision", "change_no"])
    .optional_real("life_years")
    .imported()
    .unique(&["part_no", "revision"]));
