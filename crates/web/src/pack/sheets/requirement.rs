//! The columns of `requirements.csv`.

use domain::requirement::Requirement;

use crate::pack::forms::{Key, Number, Text, Word};
use crate::pack::sheet::sheet;

sheet!(Requirement in Requirements {
    item_part_no: must(Key),
    requirement_no: must(Key),
    text: must(Text),
    measure: may(Word),
    limit_kind: may(Word),
    limit: may(Number),
    configuration: may(Key),
    size: may(Key),
});
