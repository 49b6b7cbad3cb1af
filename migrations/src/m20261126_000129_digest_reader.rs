//! Who gets the weekly digest, and where.

use crate::table::OnDelete;
use crate::table::creates;

creates!("digest_reader", |table| table
    .id()
    .refers("user_id", ("app_user", "id"), OnDelete::Cascade)
    .text("address")
    .unique(&["user_id"]));
