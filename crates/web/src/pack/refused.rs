//! `refused.csv`: the rows that were not taken, as they stood, each with its file, line and why.

use std::collections::BTreeSet;
use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};

use super::read::RefusedRow;

/// The name of the file.
pub(super) const REFUSED: &str = "refused.csv";
/// How its other names begin: `part` follows while it is written, and a number once a later one has its name.
pub(super) const REFUSED_OTHERWISE: &str = "refused.csv.";

/// Columns that come before those of the refused rows' own files.
const OWN: [&str; 3] = ["file", "line", "why"];
/// The column of rows that could not be split into cells.
const UNREADABLE: &str = "row";

/// Writes refused rows; the file is seen under its name only once [`RefusedFile::finish`] gives it.
pub(crate) struct RefusedFile {
    writer: csv::Writer<File>,
    goal: PathBuf,
    columns: Vec<String>,
    /// For each cell of the file at hand, its place among the columns.
    places: Vec<usize>,
    error: Option<io::Error>,
}

impl RefusedFile {
    /// Begins a file whose columns are those of the headers of the files with refused rows.
    pub(crate) fn create(goal: PathBuf, headers: &[Vec<String>]) -> io::Result<Self> {
        let mut seen = BTreeSet::new();
        let mut columns: Vec<String> = OWN.iter().map(|&name| name.to_owned()).collect();
        columns.extend(headers.iter().flatten().filter(|name| seen.insert(*name)).cloned());
        columns.push(UNREADABLE.to_owned());
        let mut writer = csv::Writer::from_path(part_of(&goal))?;
        writer.write_record(&columns)?;
        Ok(Self { writer, goal, columns, places: Vec::new(), error: None })
    }

    /// The name it will have.
    pub(crate) fn path(&self) -> &Path {
        &self.goal
    }

    /// The rows that follow are of a file with this header.
    pub(crate) fn begin(&mut self, header: &[String]) {
        let own = OWN.len();
        let place = |name: &String| self.columns[own..].iter().position(|column| column == name);
        self.places =
            header.iter().map(|name| place(name).map_or(self.columns.len(), |at| own + at)).collect();
    }

    /// Writes one row; what goes wrong is told at the end.
    pub(crate) fn write(&mut self, refused: &RefusedRow<'_>) {
        let mut record = vec![String::new(); self.columns.len()];
        record[0] = refused.table.file();
        record[1] = refused.line.to_string();
        let problems = refused.problems.iter();
        record[2] = problems
            .map(|problem| match problem.column.as_str() {
                "" => problem.why.clone(),
                column => format!("{column}: {}", problem.why),
            })
            .collect::<Vec<_>>()
            .join("; ");
        if refused.readable {
            for (cell, place) in refused.cells.iter().zip(&self.places) {
                if let Some(slot) = record.get_mut(*place) {
                    slot.clone_from(cell);
                }
            }
        } else if let Some(slot) = record.last_mut() {
            *slot = refused.cells.concat();
        }
        if self.error.is_none() {
            self.error = self.writer.write_record(&record).err().map(io::Error::from);
        }
    }

    /// Brings the rows to the disk, still under the passing name.
    pub(crate) fn close(self) -> io::Result<ClosedFile> {
        if let Some(error) = self.error {
            return Err(error);
        }
        self.writer.into_inner().map_err(csv::IntoInnerError::into_error)?.sync_all()?;
        Ok(ClosedFile { goal: self.goal })
    }
}

/// A whole file that waits for its name.
pub(crate) struct ClosedFile {
    goal: PathBuf,
}

impl ClosedFile {
    /// Gives the file its name and says it; the passing one where it can't have its own: the other rows are in the books by now,
    /// and these must be found. One of that name is kept under another: its rows may not be mended yet.
    pub(crate) fn finish(self) -> PathBuf {
        let part = part_of(&self.goal);
        match keep_earlier(&self.goal).and_then(|()| fs::rename(&part, &self.goal)) {
            Ok(()) => self.goal,
            Err(error) => {
                tracing::warn!(%error, goal = %self.goal.display(), "the refused rows keep their passing name");
                part
            }
        }
    }
}

/// Renames a file that has the name of another to the first number that is free.
fn keep_earlier(goal: &Path) -> io::Result<()> {
    let numbered = |number: u32| goal.with_file_name(format!("{REFUSED_OTHERWISE}{number}"));
    match (1..1_000).map(numbered).find(|name| !name.exists()) {
        Some(free) if goal.is_file() => fs::rename(goal, free),
        _ => Ok(()),
    }
}

fn part_of(goal: &Path) -> PathBuf {
    let mut name = goal.file_name().unwrap_or_default().to_owned();
    name.push(".part");
    goal.with_file_name(name)
}

/// Where the refused rows of a pack go: `refused.csv` in the folder that the pack lies in.
pub fn beside(pack: &Path) -> PathBuf {
    let whole = fs::canonicalize(pack).unwrap_or_else(|_| pack.to_owned());
    whole.with_file_name(REFUSED)
}
