//! Settings that people change while the program runs.

use crate::table::creates;

creates!("setting", |table| table.text_key("key").text("value"));
