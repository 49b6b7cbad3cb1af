//! Modes that engineers added to the shipped catalogue.

use crate::table::creates;

creates!("catalogue_mode", |table| table
    .id()
    .texts([
        "kind",
        "kind_name",
        "code",
        "name",
        "mechanism",
        "how_found",
        "usual_fix",
        "test_methods",
        "default_severity",
        "field_words",
        "added_by"
    ])
    .moment("added_at")
    .unique(&["code"]));
