//! Remarks on a record, in the sheet itself.

use crate::table::OnDelete;
use crate::table::creates;

creates!("change_remark", |table| table
    .id()
    .refers("change_no", ("change", "change_no"), OnDelete::Cascade)
    .texts(["by", "words"])
    .moment("at"));
