//! Secret links by which a unit sends and reads its reports.

use crate::table::OnDelete;
use crate::table::creates;

creates!("unit_link", |table| table
    .id()
    .refers("unit", ("unit", "code"), OnDelete::Restrict)
    .texts(["token_hash", "label", "made_by"])
    .moment("made_at")
    .optional_moment("revoked_at")
    .unique(&["token_hash"]));
