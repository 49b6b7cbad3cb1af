//! Who answers for what was passed on: an exhibit, an instruction, a question to a unit; until then whoever made it.

use crate::table::OnDelete;
use crate::table::creates;

creates!("keeper", |table| table
    .id()
    .texts(["kind", "key"])
    .refers("user_id", ("app_user", "id"), OnDelete::Restrict)
    .unique(&["kind", "key"]));
