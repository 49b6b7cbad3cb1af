//! Which report came with which list, and on which line of it.

use crate::table::OnDelete;
use crate::table::creates;

creates!("upload_row", |table| table
    .belongs_to("report_ref", ("report", "report_ref"))
    .refers("upload_id", ("upload", "id"), OnDelete::Cascade)
    .whole("line")
    .flag("withdrawn"));
