//! The columns of `structure.csv`.

use domain::structure::Component;

use crate::pack::forms::{Key, Number};
use crate::pack::sheet::sheet;

sheet!(Component in Structure {
    parent_part_no: must(Key),
    parent_revision: must(Key),
    child_part_no: must(Key),
    child_revision: must(Key),
    quantity: must(Number),
    position: may(Key),
    size: may(Key),
    configuration: may(Key),
});
