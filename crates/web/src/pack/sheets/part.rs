//! The columns of `parts.csv`.

use domain::part::PartRevision;

use crate::pack::forms::{Date, Key, Number, Text};
use crate::pack::sheet::sheet;

sheet!(PartRevision in Parts {
    part_no: must(Key),
    revision: must(Key),
    name: must(Text),
    kind: must(Key),
    released_on: may(Date),
    replaces_revision: may(Key),
    change_no: may(Key),
    life_years: may(Number),
});
