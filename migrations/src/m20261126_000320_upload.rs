//! Lists of failures that were sent as one file.

use crate::table::creates;

creates!("upload", |table| table
    .id()
    .texts(["key", "sender", "sha256", "file_name"])
    .whole("reports")
    .whole("sent_before")
    .whole("refused")
    .text("made_by")
    .moment("made_at")
    .optional_moment("withdrawn_at")
    .optional_texts(["withdrawn_by", "withdrawn_why"])
    .unique(&["key"]));
