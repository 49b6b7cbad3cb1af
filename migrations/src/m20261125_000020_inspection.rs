//! Inspections: counts with a denominator.

use crate::table::OnDelete;
use crate::table::creates;

creates!("inspection", |table| table
    .id()
    .day("inspected_on")
    .refers("unit", ("unit", "code"), OnDelete::Restrict)
    .optional_texts(["lot_no"])
    .refers("part_no", ("part", "part_no"), OnDelete::Restrict)
    .text("mode")
    .whole("inspected")
    .whole("found")
    .optional_texts(["notice_no"])
    .text("identity")
    .imported()
    .unique(&["identity"]));
