//! The columns of `lot_uses.csv`.

use domain::lot_use::LotUse;

use crate::pack::forms::{Key, Number};
use crate::pack::sheet::sheet;

sheet!(LotUse in LotUses {
    lot_no: must(Key),
    used_lot_no: must(Key),
    quantity: may(Number),
});
