//! Where changes take effect.

use crate::table::OnDelete;
use crate::table::creates;

creates!("effectivity", |table| table
    .id()
    .refers("change_no", ("change", "change_no"), OnDelete::Restrict)
    .text("stage")
    .optional_texts(["maker", "from_lot", "to_lot"])
    .real("share_new")
    .optional_day("from_date")
    .text("identity")
    .imported()
    .unique(&["identity"]));
