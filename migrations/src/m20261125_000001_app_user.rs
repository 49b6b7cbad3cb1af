//! People who sign in.

use crate::table::creates;

creates!("app_user", |table| table
    .id()
    .texts(["name", "full_name", "role"])
    .optional_texts(["unit", "password_hash"])
    .optional_moment("retired_at")
    .unique(&["name"]));
