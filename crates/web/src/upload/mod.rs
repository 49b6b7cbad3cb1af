//! Lists of failures as units keep them: CSV files and workbooks, read into headings and rows with narrow limits.

mod delimited;
#[cfg(test)]
mod hostile;
mod waiting;
mod workbook;

use serde::{Deserialize, Serialize};

pub(crate) use waiting::{WaitingList, WaitingLists};

/// Rows of one list; a unit's year of failures fits.
pub(crate) const MOST_ROWS: usize = 2000;
/// Columns of one list.
pub(crate) const MOST_COLUMNS: usize = 60;
/// Letters of all cells together: a workbook may name one long text in every cell.
const MOST_TEXT: usize = 8 << 20;
/// The largest file.
pub(crate) const LARGEST_FILE: usize = 8 << 20;

/// A list as it stands in the file.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) struct Table {
    /// The headings; empty for a column without one.
    pub(crate) headings: Vec<String>,
    /// Rows below them that hold anything.
    pub(crate) rows: Vec<TableRow>,
}

/// One row.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) struct TableRow {
    /// The line of the file, or the row of the sheet, from 1.
    pub(crate) line: u64,
    /// Its cells, as many as there are headings; or why it can't be read.
    pub(crate) cells: Result<Vec<String>, String>,
}

/// Reads a list, whichever form it has.
///
/// # Errors
/// A sentence for the sender, without its full stop.
pub(crate) fn read(bytes: &[u8]) -> Result<Table, String> {
    if bytes.len() > LARGEST_FILE {
        return Err(format!("is larger than the {} MB that are taken", LARGEST_FILE >> 20));
    }
    match bytes {
        [] => Err("is empty".to_owned()),
        [b'P', b'K', 3, 4, ..] => workbook::read(bytes),
        [0xD0, 0xCF, 0x11, 0xE0, ..] => {
            Err("is a workbook of an old form, or has a password; save it as .xlsx or CSV without one"
                .to_owned())
        }
        [b'%', b'P', b'D', b'F', ..] => Err("is a PDF; send the table as .xlsx or CSV".to_owned()),
        _ => delimited::read(bytes),
    }
}

/// Collects rows into a table: the first row with two filled cells is the heading.
#[derive(Default)]
struct Collecting {
    table: Table,
    text: usize,
}

impl Collecting {
    /// Takes the next row.
    fn row(&mut self, line: u64, cells: Result<Vec<String>, String>) -> Result<(), String> {
        let mut cells =
            cells.map(|cells| cells.into_iter().map(|cell| cell.trim().to_owned()).collect::<Vec<_>>());
        if let Ok(cells) = &mut cells {
            while cells.last().is_some_and(String::is_empty) {
                cells.pop();
            }
            self.text += cells.iter().map(String::len).sum::<usize>();
            if self.text > MOST_TEXT {
                return Err("holds more text than a list of failures can; send it in parts".to_owned());
            }
            if cells.is_empty() {
                return Ok(());
            }
            if cells.len() > MOST_COLUMNS {
                return Err(format!(
                    "has {} columns in row {line}; at most {MOST_COLUMNS} are taken",
                    cells.len()
                ));
            }
        }
        if self.table.headings.is_empty() {
            match cells {
                Err(why) => return Err(format!("has a first row that can't be read: it {why}")),
                Ok(cells) if cells.iter().filter(|cell| !cell.is_empty()).count() >= 2 => {
                    self.table.headings = cells;
                }
                // A title above the table.
                Ok(_) => {}
            }
            return Ok(());
        }
        if self.table.rows.len() == MOST_ROWS {
            return Err(format!("has more than {MOST_ROWS} rows; send it in parts"));
        }
        let headings = self.table.headings.len();
        let cells = cells.and_then(|mut cells| {
            if cells.len() > headings {
                return Err(format!("has {} cells under {headings} headings", cells.len()));
            }
            cells.resize(headings, String::new());
            Ok(cells)
        });
        self.table.rows.push(TableRow { line, cells });
        Ok(())
    }

    fn end(self) -> Result<Table, String> {
        if self.table.headings.is_empty() {
            return Err("has no row of headings, such as: date, item, what happened, injury".to_owned());
        }
        if self.table.rows.is_empty() {
            return Err("has headings and no row below them".to_owned());
        }
        Ok(self.table)
    }
}
