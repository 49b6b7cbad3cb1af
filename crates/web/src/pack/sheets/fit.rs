//! The columns of `fit_ranges.csv`.

use domain::fit::FitRange;

use crate::pack::forms::{Key, Number};
use crate::pack::sheet::sheet;

sheet!(FitRange in FitRanges {
    item_part_no: must(Key),
    size: must(Key),
    dimension: must(Key),
    low_mm: must(Number),
    high_mm: must(Number),
});
