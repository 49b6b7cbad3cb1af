//! What records beside the change share: one form, one list and one sheet, filled by each noun.

mod form;
mod list;
mod sent;
mod sheet;

pub use form::FormPage;
pub use list::{Cell, ListPage, Listed};
pub(crate) use sent::{Reading, Sent, kept, too_long};
pub use sheet::{Pair, RecordSheet, Section};
