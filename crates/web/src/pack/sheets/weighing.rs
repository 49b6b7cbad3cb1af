//! The columns of `weighings.csv`.

use domain::weighing::Weighing;

use crate::pack::forms::{Key, Number};
use crate::pack::sheet::sheet;

sheet!(Weighing in Weighings {
    part_no: must(Key),
    revision: must(Key),
    size: may(Key),
    specimen: must(Key),
    mass_g: must(Number),
});
