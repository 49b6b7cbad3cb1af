//! One-time links that sign somebody in.

use crate::table::OnDelete;
use crate::table::creates;

creates!("sign_in_link", |table| table
    .text_key("token_hash")
    .refers("user_id", ("app_user", "id"), OnDelete::Cascade)
    .moment("expires_at")
    .optional_moment("used_at"));
