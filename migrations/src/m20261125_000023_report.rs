//! The table of failure reports.

use crate::table::OnDelete;
use crate::table::creates;

creates!("report", |table| table
    .id()
    .text("report_ref")
    .day("found_on")
    .day("received_on")
    .refers("unit", ("unit", "code"), OnDelete::Restrict)
    .refers("item_part_no", ("part", "part_no"), OnDelete::Restrict)
    .optional_texts(["size", "serial", "lot_text", "lot_known", "maker", "contract_no"])
    .optional_day("made_month")
    .may_refer("part_no", ("part", "part_no"), OnDelete::Restrict)
    .optional_texts(["mode", "narrative", "activity", "found_when"])
    .optional_real("worn_weeks")
    .optional_texts(["altered", "prompted_by", "harm", "item_fate"])
    .optional_flag("relevant")
    .optional_flag("chargeable")
    .whole("quantity")
    .imported()
    .unique(&["report_ref"]));
