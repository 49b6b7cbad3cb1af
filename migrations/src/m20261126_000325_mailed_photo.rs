//! Photographs of mails that are no reports yet.

use crate::table::OnDelete;
use crate::table::creates;

creates!("mailed_photo", |table| table
    .id()
    .refers("mailed_id", ("mailed", "id"), OnDelete::Cascade)
    .texts(["sha256", "media_type"])
    .whole("width")
    .whole("height"));
