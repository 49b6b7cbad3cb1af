//! A dry reading of a pack: what it holds and everything wrong with it, nothing written.

use std::sync::Arc;

use chrono::NaiveDate;
use domain::pack::{Known, Table};

use super::batch::Batch;
use super::clash::Clashes;
use super::read::{Bars, Outcome, ReadError, RefusedRow, Sink, Stopped, read_pack};
use super::refusal::{FileSummary, Refusal, shown};
use super::source::PackSource;

/// What a pack holds, before anything of it is taken.
#[derive(Clone, Debug, Default)]
pub struct Preview {
    /// What each file holds, in order of dependency.
    pub files: Vec<FileSummary>,
    /// What is wrong, in order of files and lines; at most as many as were asked for, and of each file the first: what one
    /// file lacks is often what rows of others name.
    pub refusals: Vec<Refusal>,
    /// Rows refused, all of them.
    pub refused_rows: u64,
    /// Files refused as a whole; while there are any, no row can be taken.
    pub refused_files: u64,
    /// What another reading must be told to refuse the same rows.
    pub(crate) barred: Bars,
    /// The headers of the files that have refused rows, in order of dependency.
    pub(crate) refused_headers: Vec<Vec<String>>,
    /// Lines of the books that don't balance, where that is asked.
    pub unbalanced: u64,
}

impl Preview {
    /// Whether everything can be taken.
    pub fn is_clean(&self) -> bool {
        self.refused_rows == 0 && self.refused_files == 0
    }

    /// Rows under headers, of all files.
    pub fn rows(&self) -> u64 {
        self.files.iter().map(|file| file.rows).sum()
    }
}

/// How to check.
#[derive(Clone, Copy, Debug)]
pub struct CheckOptions {
    /// The reader's date: nothing can have happened after it.
    pub today: NaiveDate,
    /// Refusals kept for showing; all are counted.
    pub keep: usize,
}

/// Notes refusals and drops the rows.
struct Notes<'a, P> {
    preview: Preview,
    keep: usize,
    /// Refusals of the file at hand that are kept so far.
    of_file: usize,
    header: Option<Vec<String>>,
    progress: &'a mut P,
}

impl<P: FnMut(Table, u64)> Notes<'_, P> {
    fn note(&mut self, refusal: impl FnOnce() -> Refusal) {
        if self.of_file < self.keep {
            self.of_file += 1;
            self.preview.refusals.push(refusal());
        }
    }
}

impl<P: FnMut(Table, u64)> Sink for Notes<'_, P> {
    fn begin(&mut self, _table: Table, header: &[String]) {
        self.header = Some(header.to_vec());
        self.of_file = 0;
    }

    fn take(&mut self, _batch: Batch, _lines: Vec<u64>) -> Result<(), Stopped> {
        Ok(())
    }

    fn refuse(&mut self, refused: RefusedRow<'_>) {
        self.preview.refused_rows += 1;
        self.preview.refused_headers.extend(self.header.take());
        for problem in refused.problems {
            self.note(|| Refusal {
                file: refused.table.file(),
                line: Some(refused.line),
                column: Some(problem.column.clone()).filter(|column| !column.is_empty()),
                value: shown(&problem.value),
                why: problem.why.clone(),
            });
        }
    }

    fn refuse_file(&mut self, table: Table, why: &str) {
        self.preview.refused_files += 1;
        self.note(|| Refusal::of_file(table.file(), why));
    }

    fn progress(&mut self, table: Table, rows: u64) {
        (self.progress)(table, rows);
    }
}

/// Why a pack could not be checked.
#[derive(Debug, thiserror::Error)]
#[error("{file}: can't be read: {source}")]
pub struct CheckError {
    file: String,
    source: std::io::Error,
}

impl CheckError {
    pub(crate) fn new(table: Table, source: std::io::Error) -> Self {
        Self { file: table.file(), source }
    }
}

/// Reads a whole pack against what is known, and tells `progress` how far it is.
///
/// # Errors
/// A file that can't be read from where it lies; what is wrong with its text is a refusal, not an error.
pub fn check(
    source: &PackSource,
    known: &Known,
    options: CheckOptions,
    progress: impl FnMut(Table, u64),
) -> Result<Preview, CheckError> {
    check_against(source, known, Clashes::default(), options, progress)
}

/// Checks as [`check`] does, and refuses what the books have with other values.
///
/// # Errors
/// As for [`check`].
pub(crate) fn check_against(
    source: &PackSource,
    known: &Known,
    clashes: Clashes,
    options: CheckOptions,
    mut progress: impl FnMut(Table, u64),
) -> Result<Preview, CheckError> {
    let mut barred = Bars { clashes: Arc::new(clashes), ..Bars::default() };
    loop {
        let preview = Preview::default();
        let mut notes =
            Notes { preview, keep: options.keep, of_file: 0, header: None, progress: &mut progress };
        let mut known = known.clone();
        let outcome = read_pack(source, &mut known, options.today, &barred, &mut notes);
        let Outcome { mut files, fallen } = match outcome {
            Ok(outcome) => outcome,
            Err(ReadError::Stopped) => unreachable!("notes never stop a reading"),
            Err(ReadError::Io(table, source)) => return Err(CheckError::new(table, source)),
        };
        if fallen.is_subset(&barred.changes) {
            for file in &mut files {
                file.left = barred.clashes.left(file.table);
            }
            let mut preview = Preview { files, barred, ..notes.preview };
            preview.refusals.sort_by_key(|refusal| {
                (Table::ALL.iter().position(|table| table.file() == refusal.file), refusal.line)
            });
            preview.refusals = of_each_file(preview.refusals, options.keep);
            return Ok(preview);
        }
        barred.changes.extend(fallen);
    }
}

/// At most so many refusals, as many of each file as there is room for; they come file by file.
fn of_each_file(refusals: Vec<Refusal>, most: usize) -> Vec<Refusal> {
    let files: Vec<&[Refusal]> = refusals.chunk_by(|a, b| a.file == b.file).collect();
    let taken = |of_one: usize| files.iter().map(|file| file.len().min(of_one)).sum::<usize>();
    // Of more files than there is room for, the first have their say.
    let of_one = (1..=most).rev().find(|&of_one| taken(of_one) <= most).unwrap_or(1);
    files.into_iter().flat_map(|file| file.iter().take(of_one)).take(most).cloned().collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn of_many_refusals_every_file_shows_its_first() {
        let of = |file: &str, lines: u64| {
            let why = "no change has this number";
            let line = move |line| Refusal { line: Some(line), ..Refusal::of_file(file.to_owned(), why) };
            (1..=lines).map(line).collect::<Vec<_>>()
        };
        let all = [of("parts.csv", 4), of("lots.csv", 900), of("changes.csv", 1)].concat();
        let shown = of_each_file(all, 10);
        let lines: Vec<(&str, u64)> = shown.iter().map(|r| (&*r.file, r.line.unwrap_or(0))).collect();
        assert_eq!(lines.len(), 10);
        assert_eq!((lines[3], lines[4], lines[9]), (("parts.csv", 4), ("lots.csv", 1), ("changes.csv", 1)));
        assert_eq!(of_each_file(of("lots.csv", 30), 10).len(), 10);
    }
}
