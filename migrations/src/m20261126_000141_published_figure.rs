//! The figures of documents that have left the house.

use crate::table::OnDelete;
use crate::table::creates;

creates!("published_figure", |table| table
    .id()
    .refers("published_id", ("published", "id"), OnDelete::Cascade)
    .texts(["measure", "filter", "text"])
    .optional_real("value"));
