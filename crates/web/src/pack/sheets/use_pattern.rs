//! The columns of `use.csv`.

use domain::use_pattern::UsePattern;

use crate::pack::forms::{Date, Key, Number, Text, Word};
use crate::pack::sheet::sheet;

sheet!(UsePattern in Use {
    unit: must(Key),
    from: must(Date),
    to: may(Date),
    activity: may(Text),
    wear_hours_per_item_month: must(Number),
    basis: may(Word),
});
