//! Mail that waits to be sent: written in the transaction of what it tells of, sent after it.

use crate::table::creates;

creates!("outbox", |table| table
    .id()
    .texts(["key", "to_address", "subject", "body_text", "body_html"])
    .moment("made_at")
    .moment("run_at")
    .whole("attempts")
    .optional_moment("sent_at")
    .optional_texts(["last_error"])
    .unique(&["key"]));
