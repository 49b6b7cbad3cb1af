//! The columns of `units.csv`.

use domain::unit::{Unit, UnitKind};

use crate::pack::forms::{Key, Text, Word};
use crate::pack::sheet::sheet;

sheet!(Unit in Units {
    unit: must(Key),
    name: may(Text),
    kind: or(Word, Some(UnitKind::Wearing)),
    parent_unit: may(Key),
    contact_email: may(Key),
});
