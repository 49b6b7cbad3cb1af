//! The columns of `demand.csv`.

use domain::demand::Demand;

use crate::pack::forms::{Count, Key, Month};
use crate::pack::sheet::sheet;

sheet!(Demand in Demand {
    month: must(Month),
    part_no: must(Key),
    quantity_drawn: must(Count),
});
