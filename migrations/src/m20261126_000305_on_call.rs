//! Engineers on call, and where a report of danger is mailed to.

use crate::table::OnDelete;
use crate::table::creates;

creates!("on_call", |table| table
    .id()
    .refers("user_id", ("app_user", "id"), OnDelete::Cascade)
    .text("address")
    .unique(&["user_id"]));
