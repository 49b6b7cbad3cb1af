//! Sign-ins that last.

use crate::table::OnDelete;
use crate::table::creates;

creates!("sign_in", |table| table
    .text_key("token_hash")
    .refers("user_id", ("app_user", "id"), OnDelete::Cascade)
    .moment("created_at")
    .moment("expires_at"));
