//! What was refused of a pack and why, in words a tired person can act on.

use std::fmt;

use domain::pack::Table;

/// The longest value shown in a message, in characters.
const SHOWN: usize = 80;

/// One thing that is wrong with a pack.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refusal {
    /// The file.
    pub file: String,
    /// The line the row begins on, from 1; `None` when the file as a whole is refused.
    pub line: Option<u64>,
    /// The column.
    pub column: Option<String>,
    /// What stands there, shortened.
    pub value: String,
    /// What is wrong and what was expected.
    pub why: String,
}

impl Refusal {
    /// A refusal of a whole file.
    pub fn of_file(file: impl Into<String>, why: impl Into<String>) -> Self {
        Self { file: file.into(), line: None, column: None, value: String::new(), why: why.into() }
    }
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.file)?;
        if let Some(line) = self.line {
            write!(f, " line {line}")?;
        }
        if let Some(column) = &self.column {
            write!(f, ", {column}")?;
            if !self.value.is_empty() {
                write!(f, " \"{}\"", self.value)?;
            }
        }
        write!(f, ": {}", self.why)
    }
}

/// Shortens a value for a message and shows its control characters.
pub(crate) fn shown(value: &str) -> String {
    let mut short: String = value.chars().take(SHOWN).collect();
    if short.len() < value.len() {
        short.push_str("...");
    }
    short.chars().map(|c| if c.is_control() { '\u{FFFD}' } else { c }).collect()
}

/// What one file of a pack holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FileSummary {
    /// The table.
    pub table: Table,
    /// Rows under the header.
    pub rows: u64,
    /// Rows that can be taken and are not known to be in the books.
    pub good: u64,
    /// Rows the books have already, by their key; only for tables whose keys are known without asking the store.
    pub here: u64,
    /// Rows that repeat an earlier one word for word.
    pub repeated: u64,
    /// Rows refused.
    pub refused: u64,
}

impl FileSummary {
    /// A file of which nothing has been read.
    pub(crate) const fn new(table: Table) -> Self {
        Self { table, rows: 0, good: 0, here: 0, repeated: 0, refused: 0 }
    }
}
