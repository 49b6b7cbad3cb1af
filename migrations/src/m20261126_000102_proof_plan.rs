//! How approved changes are to be proved.

use crate::table::OnDelete;
use crate::table::creates;

creates!("proof_plan", |table| table
    .belongs_to("change_no", ("change", "change_no"))
    .real("ratio_worth_having")
    .real("power")
    .optional_real("item_years")
    .optional_day("reached_on")
    .may_refer("planned_by", ("app_user", "id"), OnDelete::Restrict)
    .moment("planned_at"));
