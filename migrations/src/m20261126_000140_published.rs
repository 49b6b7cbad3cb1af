//! Documents that have left the house, each file kept as it went.

use crate::table::creates;

creates!("published", |table| table
    .id()
    .text("kind")
    .text("subject")
    .optional_texts(["maker"])
    .texts(["title", "sha256"])
    .moment("as_of")
    .text("by")
    .moment("at")
    .bytes("bytes")
    .unique(&["sha256"]));
