//! The columns of `serials.csv`.

use domain::serial::Serial;

use crate::pack::forms::{Date, Key};
use crate::pack::sheet::sheet;

sheet!(Serial in Serials {
    serial: must(Key),
    lot_no: must(Key),
    unit: may(Key),
    from: may(Date),
    to: may(Date),
});
