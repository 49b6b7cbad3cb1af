//! Change records: what the engineer argues.

use crate::table::OnDelete;
use crate::table::creates;

creates!("change_record", |table| table
    .belongs_to("change_no", ("change", "change_no"))
    .optional_texts(["recurrence_part_no", "recurrence_mode"])
    .texts(["problem", "description"])
    .optional_texts(["prediction_basis"])
    .optional_real("ratio_low")
    .optional_real("ratio_best")
    .optional_real("ratio_high")
    .optional_texts([
        "prediction_source",
        "retrofit",
        "retrofit_note",
        "class",
        "priority",
        "justification",
        "cost_note"
    ])
    .may_refer("drafted_by", ("app_user", "id"), OnDelete::Restrict)
    .moment("drafted_at")
    .optional_moment("submitted_at")
    .whole("revision")
    .whole("version"));
