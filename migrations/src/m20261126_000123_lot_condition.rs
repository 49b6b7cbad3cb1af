//! The history of the conditions of lots in stock.

use crate::table::creates;

creates!("lot_condition", |table| table
    .id()
    .text("lot_no")
    .optional_texts(["maker"])
    .text("condition")
    .day("on_day")
    .texts(["authority", "scope"])
    .optional_texts(["unit"])
    .optional_whole("quantity")
    .texts(["reason", "made_by"])
    .moment("made_at"));
