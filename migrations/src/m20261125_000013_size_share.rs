//! The tariff of sizes.

use crate::table::OnDelete;
use crate::table::creates;

creates!("size_share", |table| table
    .id()
    .refers("part_no", ("part", "part_no"), OnDelete::Restrict)
    .text("size")
    .real("share_per_1000")
    .imported()
    .unique(&["part_no", "size"]));
