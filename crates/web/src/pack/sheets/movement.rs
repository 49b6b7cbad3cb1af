//! The columns of `movements.csv`.

use domain::movement::Movement;

use crate::pack::forms::{Count, Date, Key, Word};
use crate::pack::sheet::sheet;

sheet!(Movement in Movements {
    moved_on: must(Date),
    kind: must(Word),
    lot_no: may(Key),
    part_no: may(Key),
    size: may(Key),
    unit: must(Key),
    quantity: must(Count),
    to_unit: may(Key),
    to_lot_no: may(Key),
    condition: may(Word),
    reason: may(Word),
    row_ref: may(Key),
});
