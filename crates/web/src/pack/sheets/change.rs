//! The columns of `changes.csv`.

use domain::change::Change;

use crate::pack::forms::{Codes, Date, Key, Text, Word};
use crate::pack::sheet::sheet;

sheet!(Change in Changes {
    change_no: must(Key),
    title: must(Text),
    part_no: must(Key),
    from_revision: must(Key),
    to_revision: must(Key),
    modes: or(Codes, Some(Vec::new())),
    state: may(Word),
    cut_in_lot: may(Key),
    cut_in_on: may(Date),
});
