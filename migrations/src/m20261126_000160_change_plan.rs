//! What a record says of its handling beyond its body: the edition of the target time, the signature under the part
//! numbers, what things cost.

use crate::table::creates;

creates!("change_plan", |table| table
    .belongs_to("change_no", ("change", "change_no"))
    .optional_texts(["priority_edition", "levels_signature"])
    .optional_moment("levels_signed_at")
    .optional_texts(["currency"])
    .optional_real("new_item")
    .optional_real("conversion")
    .optional_real("scrapped_item")
    .optional_real("recall_months")
    .optional_texts(["cost_source"]));
