//! What came with a report through the form or the API.

use crate::table::OnDelete;
use crate::table::creates;

creates!("intake", |table| table
    .belongs_to("report_ref", ("report", "report_ref"))
    .texts(["receipt_code", "client_key", "secret_hash"])
    .may_refer("unit_link_id", ("unit_link", "id"), OnDelete::Restrict)
    .optional_texts(["altered_by"])
    .moment("sent_at")
    .unique(&["receipt_code"])
    .unique(&["client_key"])
    .unique(&["secret_hash"]));
