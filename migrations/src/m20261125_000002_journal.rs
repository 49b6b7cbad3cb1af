//! The journal: who did what when, with the state before and after.

use crate::table::OnDelete;
use crate::table::creates;

creates!("journal", |table| table
    .id()
    .moment("at")
    .text("actor")
    .may_refer("user_id", ("app_user", "id"), OnDelete::Restrict)
    .texts(["act", "noun", "key"])
    .optional_texts(["before", "after"])
    .flag("touches_field"));
