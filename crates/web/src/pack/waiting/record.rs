//! What is kept of an uploaded pack beside its files: whose it is, what the check found, how far it has come.

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use store::PastImport;

use crate::format;
use crate::pack::{Imported, Inspected, LeftAlone, Refusal};

/// Lines of unbalanced books kept for showing; all are counted.
const LINES_KEPT: usize = 200;

/// An uploaded pack.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Record {
    /// The store's number of whoever sent it; nobody else sees it.
    pub owner: i64,
    /// When it arrived, in microseconds since 1970.
    sent_at: i64,
    /// The names the files came with.
    pub names: Vec<String>,
    /// What each file of the pack holds.
    pub files: Vec<FileLine>,
    /// Rows refused.
    pub refused_rows: u64,
    /// Files refused as a whole.
    pub refused_files: u64,
    /// Lines of the list of refusals.
    pub refusals: u64,
    /// Lines of the books that would not balance.
    pub unbalanced: u64,
    /// The first of these, in words.
    pub unbalanced_lines: Vec<String>,
    /// How far it has come.
    pub stage: Stage,
}

/// What one file of a pack holds.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct FileLine {
    /// The file.
    pub file: String,
    /// Rows under the header.
    pub rows: u64,
    /// Rows that can be taken and are not known to be in the books.
    pub good: u64,
    /// Rows the books have already, or that repeat an earlier one.
    pub known: u64,
    /// Rows refused.
    pub refused: u64,
    /// Which rows say otherwise than the books and are left as those have them, in words.
    #[serde(default)]
    pub left: Option<String>,
}

/// How far an uploaded pack has come.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Stage {
    /// Checked; nothing is in the books.
    Checked,
    /// Being brought in since a moment, in microseconds since 1970; where nobody is at it, that was cut short.
    Importing(i64),
    /// Refused or failed, for this reason; nothing is in the books.
    Failed(String),
    /// In the books.
    Taken {
        /// What each file brought.
        tables: Vec<TakenLine>,
        /// Whether rows were left out and written to a file.
        left_out: bool,
    },
}

/// What an import did with one file.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct TakenLine {
    /// The file.
    pub file: String,
    /// Rows that are new in the books.
    pub new: u64,
    /// Rows the books had already.
    pub here: u64,
    /// Rows refused.
    pub refused: u64,
    /// Which rows say otherwise than the books and were left as those have them, in words.
    #[serde(default)]
    pub left: Option<String>,
}

/// Which rows of a file are left as the books have them; `None` where none is.
fn left(file: &str, rows: &LeftAlone) -> Option<String> {
    let counted = || format::counted(rows.rows, "row", "rows");
    (rows.rows > 0).then(|| format!("{} of {file}: {}", counted(), rows.named()))
}

impl Record {
    /// A pack that has just been checked.
    pub fn new(owner: i64, now: DateTime<Utc>, names: Vec<String>, found: &Inspected) -> Self {
        let mut record = Self {
            owner,
            sent_at: now.timestamp_micros(),
            names,
            files: Vec::new(),
            refused_rows: 0,
            refused_files: 0,
            refusals: 0,
            unbalanced: 0,
            unbalanced_lines: Vec::new(),
            stage: Stage::Checked,
        };
        record.check(found);
        record
    }

    /// Takes over what another check found.
    pub fn check(&mut self, found: &Inspected) {
        let lines = found.preview.files.iter().map(|file| FileLine {
            file: file.table.file(),
            rows: file.rows,
            good: file.good,
            known: file.here + file.repeated,
            refused: file.refused,
            left: left(&file.table.file(), &file.left),
        });
        self.files = lines.collect();
        self.refused_rows = found.preview.refused_rows;
        self.refused_files = found.preview.refused_files;
        self.refusals = found.preview.refusals.len() as u64;
        self.unbalanced = found.unbalanced.len() as u64;
        self.unbalanced_lines = found.unbalanced.iter().take(LINES_KEPT).map(|one| one.why.clone()).collect();
        self.stage = Stage::Checked;
    }

    /// When it arrived.
    pub fn sent_at(&self) -> DateTime<Utc> {
        DateTime::from_timestamp_micros(self.sent_at).unwrap_or_default()
    }

    /// Rows of one kind over all files.
    pub fn sum(&self, of: impl Fn(&FileLine) -> u64) -> u64 {
        self.files.iter().map(of).sum()
    }

    /// Whether the whole pack can be taken.
    pub fn can_take_all(&self) -> bool {
        self.refused_rows == 0 && self.refused_files == 0 && self.sum(|file| file.rows) > 0
    }

    /// Whether its good rows can be taken without the others.
    pub fn can_take_good(&self) -> bool {
        self.refused_files == 0 && self.refused_rows > 0 && self.sum(|file| file.good) > 0
    }
}

impl Stage {
    /// Being brought in since a moment.
    pub const fn importing(since: DateTime<Utc>) -> Self {
        Self::Importing(since.timestamp_micros())
    }

    /// In the books.
    pub fn taken(imported: &Imported) -> Self {
        let tables = imported.tables.iter().map(|taken| TakenLine {
            file: taken.table.file(),
            new: taken.new,
            here: taken.here,
            refused: taken.refused,
            left: left(&taken.table.file(), &taken.left),
        });
        Self::Taken { tables: tables.collect(), left_out: imported.refused_file.is_some() }
    }

    /// In the books, as the books tell it; what they had already and what was refused isn't told there.
    pub fn of_past(past: PastImport) -> Self {
        let line = |(table, new): (String, u64)| TakenLine {
            file: format!("{table}.csv"),
            new,
            here: 0,
            refused: 0,
            left: None,
        };
        Self::Taken { tables: past.counts.into_iter().map(line).collect(), left_out: false }
    }
}

/// One line of the list of refusals, as it is kept and sent out.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct RefusalLine {
    /// The file.
    pub file: String,
    /// The line the row begins on; empty for a file as a whole.
    pub line: String,
    /// The column.
    pub column: String,
    /// What stands there, shortened.
    pub value: String,
    /// What is wrong and what was expected.
    pub reason: String,
}

impl From<&Refusal> for RefusalLine {
    fn from(refusal: &Refusal) -> Self {
        Self {
            file: refusal.file.clone(),
            line: refusal.line.map(|line| line.to_string()).unwrap_or_default(),
            column: refusal.column.clone().unwrap_or_default(),
            value: refusal.value.clone(),
            reason: refusal.why.clone(),
        }
    }
}
