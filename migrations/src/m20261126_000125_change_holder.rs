//! Who has a change since it was handed over; who drafted it stays in its record, and may not decide on it.

use crate::table::OnDelete;
use crate::table::creates;

creates!("change_holder", |table| table.belongs_to("change_no", ("change", "change_no")).refers(
    "user_id",
    ("app_user", "id"),
    OnDelete::Restrict
));
