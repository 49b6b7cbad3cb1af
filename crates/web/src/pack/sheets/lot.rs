//! The columns of `lots.csv`.

use domain::lot::{Lot, LotPurpose};

use crate::pack::forms::{Count, Date, Key, Word};
use crate::pack::sheet::sheet;

sheet!(Lot in Lots {
    lot_no: must(Key),
    part_no: must(Key),
    revision: must(Key),
    size: may(Key),
    made_on: may(Date),
    quantity: may(Count),
    maker: may(Key),
    contract_no: may(Key),
    stock_no: may(Key),
    purpose: or(Word, Some(LotPurpose::Production)),
});
