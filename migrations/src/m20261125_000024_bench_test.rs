//! The table of bench tests.

use crate::table::OnDelete;
use crate::table::creates;

creates!("bench_test", |table| table
    .id()
    .refers("part_no", ("part", "part_no"), OnDelete::Restrict)
    .text("revision")
    .optional_texts(["lot_no", "purpose"])
    .texts(["method", "measure", "specimen"])
    .optional_texts(["specimen_source"])
    .real("value")
    .texts(["measure_unit", "outcome"])
    .optional_texts(["conditioning"])
    .optional_real("limit_value")
    .optional_texts(["limit_source", "laboratory"])
    .optional_day("tested_on")
    .text("identity")
    .imported()
    .unique(&["identity"]));
