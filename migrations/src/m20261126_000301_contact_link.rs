//! The secrets in mails to a reporter, as digests: one opens the receipt, the other stops the mail.

use crate::table::OnDelete;
use crate::table::creates;

creates!("contact_link", |table| table
    .id()
    .refers("contact_id", ("contact", "id"), OnDelete::Cascade)
    .texts(["follow_hash", "stop_hash"])
    .moment("made_at")
    .unique(&["follow_hash"])
    .found_by("stop_hash"));
