//! The columns of `inspections.csv`.

use domain::inspection::Inspection;

use crate::pack::forms::{Count, Date, Key};
use crate::pack::sheet::sheet;

sheet!(Inspection in Inspections {
    inspected_on: must(Date),
    unit: must(Key),
    lot_no: may(Key),
    part_no: must(Key),
    mode: must(Key),
    inspected: must(Count),
    found: must(Count),
    notice_no: may(Key),
});
