//! Photos that came with reports.

use crate::table::OnDelete;
use crate::table::creates;

creates!("photo", |table| table
    .id()
    .refers("report_ref", ("report", "report_ref"), OnDelete::Cascade)
    .texts(["sha256", "media_type"])
    .whole("width")
    .whole("height")
    .bytes("bytes")
    .unique(&["report_ref", "sha256"]));
