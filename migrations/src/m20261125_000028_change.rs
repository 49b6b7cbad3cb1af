//! Engineering changes as a pack carries them.

use crate::table::OnDelete;
use crate::table::creates;

creates!("change", |table| table
    .id()
    .texts(["change_no", "title"])
    .refers("part_no", ("part", "part_no"), OnDelete::Restrict)
    .texts(["from_revision", "to_revision", "modes"])
    .optional_texts(["state", "cut_in_lot"])
    .optional_day("cut_in_on")
    .imported()
    .unique(&["change_no"]));
