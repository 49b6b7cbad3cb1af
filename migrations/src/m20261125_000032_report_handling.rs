//! Where reports stand, and why they count or do not.

use crate::table::OnDelete;
use crate::table::creates;

creates!("report_handling", |table| table
    .belongs_to("report_ref", ("report", "report_ref"))
    .text("state")
    .optional_texts(["lot_text_as_sent", "cause", "relevant_reason", "chargeable_reason", "set_aside_reason"])
    .may_refer("sorted_by", ("app_user", "id"), OnDelete::Restrict)
    .optional_moment("sorted_at"));
