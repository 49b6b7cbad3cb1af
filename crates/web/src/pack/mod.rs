//! Data packs: CSV files to nouns and back, checking, import and export.
//!
//! A page or a command takes three steps, and nothing is written before the third:
//!
//! 1. [`PackSource::open`] (a folder, a zip, one file) or [`PackSource::from_files`] (what a browser sent) checks names
//!    and unpacked sizes.
//! 2. [`check`] reads everything once against the [`Known`](domain::pack::Known) keys of the books and gives a [`Preview`]: counts a file and
//!    every [`Refusal`]. Rows of a known key are held against the books before it (`clash.rs`).
//! 3. [`import`] checks, reads it again, stages the good rows and publishes them at once; with
//!    [`ImportOptions::refused_to`] it leaves bad rows in a file instead of refusing all.
//!
//! What a browser sent waits in a folder ([`Waiting`]) between the second step ([`inspect`], against the books as they
//! are) and the third.
//!
//! [`export`] writes the books to a folder or a zip; [`gather`] reads a pack into a field without a store.
//!
//! The columns of each table stand in one list in `sheets/`; reading, writing and the header check all follow it.

mod balance;
mod batch;
mod cells;
mod check;
mod clash;
mod digest;
mod export;
mod forms;
mod gather;
mod header;
mod import;
mod inspect;
mod read;
mod refusal;
mod refused;
mod rows;
mod sheet;
mod sheets;
mod source;
mod stage;
mod table;
mod waiting;
mod write;

#[cfg(test)]
mod bad_input;
#[cfg(test)]
mod clash_tests;
#[cfg(test)]
mod import_tests;
#[cfg(test)]
mod round_trip;

pub use batch::Batch;
pub use check::{CheckError, CheckOptions, Preview, check};
pub use export::{ExportError, ExportOptions, export};
pub use gather::{GatherError, gather};
pub use import::{ImportError, ImportOptions, Imported, Progress, Taken, import};
pub use inspect::{Inspected, inspect};
pub use refusal::{FileSummary, LeftAlone, Refusal};
pub use refused::beside;
pub(crate) use rows::{NOT_UTF8, Row, Rows};
pub use source::{Limits, OpenError, PackSource};
pub use waiting::{Arrival, FileLine, Record, RefusalLine, Running, Stage, TakenLine, Waiting};
pub use write::PackWriter;
