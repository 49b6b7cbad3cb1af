//! Files enclosed with a record.

use crate::table::OnDelete;
use crate::table::creates;

creates!("change_enclosure", |table| table
    .id()
    .refers("change_no", ("change", "change_no"), OnDelete::Cascade)
    .texts(["name", "media_type", "sha256", "by"])
    .moment("at")
    .whole("size")
    .bytes("bytes")
    .unique(&["change_no", "sha256"]));
