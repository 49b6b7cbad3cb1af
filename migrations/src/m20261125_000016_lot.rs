//! Lots; the maker is empty where not known, so that number and maker stay one key.

use crate::table::OnDelete;
use crate::table::creates;

creates!("lot", |table| table
    .id()
    .text("lot_no")
    .refers("part_no", ("part", "part_no"), OnDelete::Restrict)
    .text("revision")
    .optional_texts(["size"])
    .optional_day("made_on")
    .optional_whole("quantity")
    .text("maker")
    .optional_texts(["contract_no", "stock_no"])
    .text("purpose")
    .imported()
    .unique(&["lot_no", "maker"]));
