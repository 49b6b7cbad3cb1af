//! Disputes with makers about suspect lots.

use crate::table::OnDelete;
use crate::table::creates;

creates!("maker_case", |table| table
    .id()
    .texts(["number", "lot_no", "maker", "about"])
    .day("notice_on")
    .day("reply_due")
    .optional_day("replied_on")
    .optional_texts(["reply"])
    .whole("sample_maker")
    .whole("sample_ours")
    .whole("sample_referee")
    .optional_texts(["result"])
    .optional_day("settled_on")
    .optional_texts(["settlement"])
    .may_refer("owner_id", ("app_user", "id"), OnDelete::Restrict)
    .text("made_by")
    .moment("made_at")
    .unique(&["number"]));
