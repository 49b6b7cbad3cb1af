//! One reading of a whole pack: each row becomes a noun that fits what is known, or a refusal.

use std::collections::HashSet;
use std::io::{self, Read};
use std::sync::Arc;

use chrono::NaiveDate;
use domain::change::Change;
use domain::pack::{Known, Record, Table};

use super::batch::{Batch, for_table};
use super::cells::{CellProblem, Cells};
use super::clash::Clashes;
use super::header;
use super::refusal::FileSummary;
use super::rows::{Row, Rows};
use super::sheet::Sheet;
use super::source::PackSource;
use super::table::TableReading;

/// Where rows go.
pub(crate) trait Sink {
    /// A file begins, with these columns.
    fn begin(&mut self, _table: Table, _header: &[String]) {}

    /// Rows that can be taken, and the lines they begin on.
    ///
    /// # Errors
    /// [`Stopped`] when nobody wants more.
    fn take(&mut self, batch: Batch, lines: Vec<u64>) -> Result<(), Stopped>;

    /// A row that can't.
    fn refuse(&mut self, refused: RefusedRow<'_>);

    /// A file that can't be read as a whole.
    fn refuse_file(&mut self, table: Table, why: &str);

    /// So many rows of a table have been read.
    fn progress(&mut self, _table: Table, _rows: u64) {}
}

/// Whoever takes the rows wants no more.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Stopped;

/// A row that can't be taken.
pub(crate) struct RefusedRow<'a> {
    /// Its table.
    pub(crate) table: Table,
    /// The line it begins on.
    pub(crate) line: u64,
    /// Everything wrong with it; no column where it can't be read at all.
    pub(crate) problems: &'a [CellProblem],
    /// Its cells in the order of the header, or a single one with its first line as it stands.
    pub(crate) cells: Vec<String>,
    /// Whether it could be split into cells.
    pub(crate) readable: bool,
}

/// Why a reading ended early.
#[derive(Debug)]
pub(crate) enum ReadError {
    /// The sink wants no more.
    Stopped,
    /// A file can't be read.
    Io(Table, io::Error),
}

impl From<Stopped> for ReadError {
    fn from(_: Stopped) -> Self {
        Self::Stopped
    }
}

/// What a reading must be told beforehand, since it can't see it row by row.
#[derive(Clone, Debug, Default)]
pub(crate) struct Bars {
    /// Changes that parts can't name, since their own row is refused.
    pub(crate) changes: HashSet<String>,
    /// Rows that the books have with other values.
    pub(crate) clashes: Arc<Clashes>,
}

/// What a reading leaves behind.
pub(crate) struct Outcome {
    /// What each file held.
    pub(crate) files: Vec<FileSummary>,
    /// Changes that `changes.csv` announces and that turned out not to be good.
    pub(crate) fallen: HashSet<String>,
}

/// Reads a pack once, in order of dependency.
///
/// Parts name changes and changes name parts, so changes are announced before parts are read, all but those barred.
pub(crate) fn read_pack(
    source: &PackSource,
    known: &mut Known,
    today: NaiveDate,
    bars: &Bars,
    sink: &mut impl Sink,
) -> Result<Outcome, ReadError> {
    let announced = source
        .read(Table::Changes, |input| announced_changes(input, known, today))
        .map_err(|error| ReadError::Io(Table::Changes, error))?
        .unwrap_or_default();
    for change_no in announced.difference(&bars.changes) {
        known.announce_change(change_no);
    }
    let mut files = Vec::new();
    for table in source.tables() {
        let summary = source
            .read(table, |input| for_table!(table, read_table::<_>(input, known, today, &bars.clashes, sink)))
            .map_err(|error| ReadError::Io(table, error))?;
        files.extend(summary.transpose()?);
    }
    let fallen = announced.into_iter().filter(|change_no| !known.has_change(change_no)).collect();
    Ok(Outcome { files, fallen })
}

/// The changes whose rows can be read; what is wrong with the others is told when their table's turn comes.
fn announced_changes(input: &mut dyn Read, known: &Known, today: NaiveDate) -> HashSet<String> {
    let mut announced = HashSet::new();
    let mut row = Row::default();
    let Ok(mut rows) = Rows::new(input) else { return announced };
    let Ok(Some(Ok(()))) = rows.next_row(&mut row) else { return announced };
    let Ok(layout) = header::layout::<Change>(&row, known) else { return announced };
    while let Ok(Some(next)) = rows.next_row(&mut row) {
        let change = next.ok().and_then(|()| Change::read(&mut Cells::new(Change::COLUMNS, &layout, &row)));
        if let Some(change) = change.filter(|change| change.check_row(today).is_ok()) {
            announced.insert(change.change_no);
        }
    }
    announced
}

/// Reads one file, or refuses it as a whole.
fn read_table<T: Sheet>(
    input: &mut dyn Read,
    known: &mut Known,
    today: NaiveDate,
    clashes: &Clashes,
    sink: &mut impl Sink,
) -> Result<FileSummary, ReadError> {
    match TableReading::<T, _>::new(known, today, clashes, sink).read(input) {
        Err(ReadError::Io(table, error)) if error.kind() == io::ErrorKind::InvalidData => {
            sink.refuse_file(table, &error.to_string());
            Ok(FileSummary::new(table))
        }
        other => other,
    }
}
