//! What members of the board advise on a change; the chair decides.

use crate::table::OnDelete;
use crate::table::creates;

creates!("advice", |table| table
    .id()
    .refers("line_id", ("docket_line", "id"), OnDelete::Cascade)
    .refers("by_user", ("app_user", "id"), OnDelete::Restrict)
    .texts(["recommends", "words"])
    .moment("given_at")
    .unique(&["line_id", "by_user"]));
