//! What a reporter was told by mail already.

use crate::table::OnDelete;
use crate::table::creates;

creates!("contact_told", |table| table
    .id()
    .refers("contact_id", ("contact", "id"), OnDelete::Cascade)
    .text("news")
    .moment("told_at")
    .unique(&["contact_id", "news"]));
