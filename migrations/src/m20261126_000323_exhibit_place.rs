//! Where each exhibit was, and since when.

use crate::table::OnDelete;
use crate::table::creates;

creates!("exhibit_place", |table| table
    .id()
    .refers("exhibit_id", ("exhibit", "id"), OnDelete::Cascade)
    .text("place")
    .day("since"));
