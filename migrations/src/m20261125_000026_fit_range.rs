//! Body dimensions that sizes are made for.

use crate::table::OnDelete;
use crate::table::creates;

creates!("fit_range", |table| table
    .id()
    .refers("item_part_no", ("part", "part_no"), OnDelete::Restrict)
    .texts(["size", "dimension"])
    .real("low_mm")
    .real("high_mm")
    .imported()
    .unique(&["item_part_no", "size", "dimension"]));
