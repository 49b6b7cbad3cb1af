//! How much units wear their items.

use crate::table::OnDelete;
use crate::table::creates;

creates!("use_pattern", |table| table
    .id()
    .refers("unit", ("unit", "code"), OnDelete::Restrict)
    .day("from_on")
    .optional_day("to_on")
    .optional_texts(["activity"])
    .real("wear_hours_per_item_month")
    .optional_texts(["basis"])
    .text("identity")
    .imported()
    .unique(&["identity"]));
