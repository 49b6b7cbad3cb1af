//! Spare parts drawn by month.

use crate::table::OnDelete;
use crate::table::creates;

creates!("demand", |table| table
    .id()
    .day("month")
    .refers("part_no", ("part", "part_no"), OnDelete::Restrict)
    .whole("quantity_drawn")
    .imported()
    .unique(&["month", "part_no"]));
