//! Keys of programs that act for a person.

use crate::table::OnDelete;
use crate::table::creates;

creates!("api_key", |table| table
    .text_key("token_hash")
    .refers("user_id", ("app_user", "id"), OnDelete::Cascade)
    .text("label")
    .moment("made_at")
    .optional_moment("revoked_at"));
