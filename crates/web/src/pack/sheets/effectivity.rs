//! The columns of `effectivity.csv`.

use domain::effectivity::Effectivity;

use crate::pack::forms::{Date, Key, Number, Word};
use crate::pack::sheet::sheet;

sheet!(Effectivity in Effectivity {
    change_no: must(Key),
    stage: must(Word),
    maker: may(Key),
    from_lot: may(Key),
    to_lot: may(Key),
    share_new: or(Number, Some(1.0)),
    from_date: may(Date),
});
