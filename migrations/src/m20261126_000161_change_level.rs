//! Which part numbers must change with a part: the engineer's answer at each level.

use crate::table::OnDelete;
use crate::table::creates;

creates!("change_level", |table| table
    .id()
    .refers("change_no", ("change", "change_no"), OnDelete::Cascade)
    .texts(["part_no"])
    .flag("interchangeable")
    .flag("new_number")
    .texts(["words"])
    .unique(&["change_no", "part_no"]));
