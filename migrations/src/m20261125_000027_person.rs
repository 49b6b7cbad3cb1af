//! The measured population; dimensions are lines of text, for their names are the pack's.

use crate::table::creates;

creates!("person", |table| table
    .id()
    .text("person")
    .optional_texts(["sex"])
    .optional_real("mass_kg")
    .text("dimensions_mm")
    .imported()
    .unique(&["person"]));
