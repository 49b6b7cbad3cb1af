//! Disclosures: what was drafted to leave for outsiders, who reviewed it, and the file as it left.

use crate::table::OnDelete;
use crate::table::creates;

creates!("disclosure", |table| table
    .id()
    .text("number")
    .refers("part_no", ("part", "part_no"), OnDelete::Restrict)
    .texts(["mode", "receiver", "removals", "struck"])
    .whole("threshold")
    .text("drafted_by")
    .optional_whole("drafted_by_id")
    .moment("drafted_at")
    .optional_texts(["reviewed_by", "verdict", "sha256"])
    .optional_moment("reviewed_at")
    .bytes("file")
    .unique(&["number"]));
