//! Meetings of the board.

use crate::table::creates;

creates!("meeting", |table| table.id().day("held_on").texts(["title", "made_by"]).moment("made_at"));
