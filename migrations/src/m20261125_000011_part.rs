//! Part numbers, for others to refer to.

use crate::table::creates;

creates!("part", |table| table.id().text("part_no").imported().unique(&["part_no"]));
