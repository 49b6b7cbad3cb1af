//! The table of units.

use crate::table::creates;

creates!("unit", |table| table
    .id()
    .text("code")
    .optional_texts(["name"])
    .text("kind")
    .optional_texts(["parent_unit", "contact_email"])
    .imported()
    .unique(&["code"]));
