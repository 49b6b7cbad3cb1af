//! The columns of `events.csv`.

use domain::event::Event;

use crate::pack::forms::{Count, Date, Key, Text, Word};
use crate::pack::sheet::sheet;

sheet!(Event in Events {
    happened_on: must(Date),
    unit: must(Key),
    serial: may(Key),
    lot_no: may(Key),
    quantity: must(Count),
    kind: must(Word),
    part_no: may(Key),
    new_lot_no: may(Key),
    outcome: may(Text),
});
