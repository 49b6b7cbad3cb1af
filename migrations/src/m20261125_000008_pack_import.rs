//! Imports of data packs, under way and done.

use crate::table::creates;

creates!("pack_import", |table| table
    .id()
    .moment("begun_at")
    .optional_moment("ended_at")
    .texts(["state", "by", "digests"])
    .optional_texts(["counts"]));
