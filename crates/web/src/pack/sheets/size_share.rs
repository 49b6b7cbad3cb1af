//! The columns of `sizes.csv`.

use domain::size_share::SizeShare;

use crate::pack::forms::{Key, Number};
use crate::pack::sheet::sheet;

sheet!(SizeShare in Sizes {
    part_no: must(Key),
    size: must(Key),
    share_per_1000: must(Number),
});
