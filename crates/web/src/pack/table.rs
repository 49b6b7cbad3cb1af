//! The reading of one file: header, rows, keys that repeat, and rows that name rows further down.

use std::collections::HashMap;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::io::Read;

use chrono::NaiveDate;
use domain::pack::{KeyHasher, Known};
use domain::words::Problem;

use super::cells::{CellProblem, Cells, Layout};
use super::clash::Clashes;
use super::header;
use super::read::{ReadError, RefusedRow, Sink, Stopped};
use super::refusal::FileSummary;
use super::rows::{Broken, Row, Rows};
use super::sheet::Sheet;

/// Rows handed on at a time.
const BATCH: usize = 4000;
/// Rows between two words of progress.
const STRIDE: u64 = 10_000;

/// A row that waits until its whole table has been read, since it may name rows further down.
struct Held<T> {
    noun: T,
    line: u64,
    cells: Vec<String>,
    is_new: bool,
}

/// The reading of the file of one noun.
pub(crate) struct TableReading<'a, T: Sheet, S> {
    known: &'a mut Known,
    today: NaiveDate,
    clashes: &'a Clashes,
    sink: &'a mut S,
    layout: Layout,
    summary: FileSummary,
    /// For each key, what its row held and the line it stood on.
    seen: HashMap<u64, (u64, u64)>,
    held: Vec<Held<T>>,
    batch: Vec<T>,
    /// For each row of the batch the line it begins on.
    lines: Vec<u64>,
}

/// What becomes of a row that repeats a key.
enum Repeat {
    No,
    Same,
    Other(u64),
}

impl<'a, T: Sheet, S: Sink> TableReading<'a, T, S> {
    /// Begins a reading.
    pub(crate) fn new(known: &'a mut Known, today: NaiveDate, clashes: &'a Clashes, sink: &'a mut S) -> Self {
        Self {
            known,
            today,
            clashes,
            sink,
            layout: Layout::default(),
            summary: FileSummary::new(T::TABLE),
            seen: HashMap::new(),
            held: Vec::new(),
            batch: Vec::new(),
            lines: Vec::new(),
        }
    }

    /// Reads the file to its end.
    pub(crate) fn read(mut self, input: &mut dyn Read) -> Result<FileSummary, ReadError> {
        let io = |error| ReadError::Io(T::TABLE, error);
        let mut rows = Rows::new(input).map_err(io)?;
        let mut row = Row::default();
        let header = match rows.next_row(&mut row).map_err(io)? {
            None => Err(vec!["is empty; expected a header row".to_owned()]),
            Some(Err(broken)) => Err(vec![format!("the header row can't be read: {}", broken.why)]),
            Some(Ok(())) => header::layout::<T>(&row, self.known),
        };
        match header {
            Ok(layout) => self.layout = layout,
            Err(wrong) => {
                for why in &wrong {
                    self.sink.refuse_file(T::TABLE, why);
                }
                return Ok(self.summary);
            }
        }
        let names: Vec<String> = row.fields().map(|name| name.trim().to_owned()).collect();
        self.sink.begin(T::TABLE, &names);
        while let Some(next) = rows.next_row(&mut row).map_err(io)? {
            self.summary.rows += 1;
            match next {
                Err(broken) => self.refuse_unreadable(&broken),
                Ok(()) if row.len() != names.len() => self.refuse_ragged(&row, names.len()),
                Ok(()) => self.row(&row)?,
            }
            if self.summary.rows.is_multiple_of(STRIDE) {
                self.sink.progress(T::TABLE, self.summary.rows);
            }
        }
        self.settle_held()?;
        self.hand_on()?;
        self.sink.progress(T::TABLE, self.summary.rows);
        Ok(self.summary)
    }

    fn row(&mut self, row: &Row) -> Result<(), Stopped> {
        let mut cells = Cells::new(T::COLUMNS, &self.layout, row);
        let noun = T::read(&mut cells);
        let mut problems = cells.into_problems();
        let Some(noun) = noun.filter(|_| problems.is_empty()) else {
            self.refuse(row.line, &problems, || owned(row));
            return Ok(());
        };
        let mut found = Vec::new();
        if let Err(problem) = noun.check_row(self.today) {
            found.push(problem);
        }
        if !T::NAMES_ITS_OWN {
            noun.check_references(self.known, &mut found);
        }
        problems.extend(found.into_iter().map(|problem| self.at_cell(problem, |at| row.get(at))));
        if problems.is_empty() {
            match self.repeat(&noun, row) {
                Repeat::No => {}
                Repeat::Same => {
                    self.summary.repeated += 1;
                    return Ok(());
                }
                Repeat::Other(line) => problems.push(CellProblem {
                    column: T::COLUMNS[0].name.to_owned(),
                    value: self.layout.places[0].and_then(|at| row.get(at)).unwrap_or_default().to_owned(),
                    why: format!("line {line} has the same key with other values"),
                }),
            }
        }
        if problems.is_empty() {
            problems.extend(self.clashes.of(T::TABLE, row.line));
        }
        if !problems.is_empty() {
            self.refuse(row.line, &problems, || owned(row));
            return Ok(());
        }
        let is_new = noun.is_known(self.known) != Some(true);
        if is_new {
            noun.learn(self.known);
        }
        if T::NAMES_ITS_OWN {
            self.held.push(Held { noun, line: row.line, cells: owned(row), is_new });
            return Ok(());
        }
        self.accept(noun, row.line, is_new)
    }

    /// Refuses held rows that name what doesn't exist, until those left name only each other and what exists.
    fn settle_held(&mut self) -> Result<(), Stopped> {
        loop {
            let before = self.held.len();
            let (mut kept, mut bad) = (Vec::with_capacity(before), Vec::new());
            for held in std::mem::take(&mut self.held) {
                let mut problems = Vec::new();
                held.noun.check_references(self.known, &mut problems);
                if problems.is_empty() { kept.push(held) } else { bad.push((held, problems)) }
            }
            self.held = kept;
            for (held, problems) in bad {
                if held.is_new {
                    held.noun.forget(self.known);
                }
                let problems: Vec<CellProblem> = problems
                    .into_iter()
                    .map(|problem| self.at_cell(problem, |at| held.cells.get(at).map(String::as_str)))
                    .collect();
                self.refuse(held.line, &problems, || held.cells);
            }
            if self.held.len() == before {
                break;
            }
        }
        for held in std::mem::take(&mut self.held) {
            self.accept(held.noun, held.line, held.is_new)?;
        }
        Ok(())
    }

    fn accept(&mut self, noun: T, line: u64, is_new: bool) -> Result<(), Stopped> {
        if is_new {
            self.summary.good += 1;
        } else {
            self.summary.here += 1;
        }
        self.batch.push(noun);
        self.lines.push(line);
        if self.batch.len() == BATCH { self.hand_on() } else { Ok(()) }
    }

    fn hand_on(&mut self) -> Result<(), Stopped> {
        if self.batch.is_empty() {
            return Ok(());
        }
        let rows = std::mem::replace(&mut self.batch, Vec::with_capacity(BATCH));
        let lines = std::mem::replace(&mut self.lines, Vec::with_capacity(BATCH));
        self.sink.take(T::batch(rows), lines)
    }

    fn repeat(&mut self, noun: &T, row: &Row) -> Repeat {
        let mut key = KeyHasher::default();
        noun.key(&mut key);
        let Some(key) = key.finish() else { return Repeat::No };
        let mut content = DefaultHasher::new();
        row.fields().for_each(|field| field.hash(&mut content));
        let content = content.finish();
        match self.seen.get(&key) {
            Some((same, _)) if *same == content => Repeat::Same,
            Some((_, line)) => Repeat::Other(*line),
            None => {
                self.seen.insert(key, (content, row.line));
                Repeat::No
            }
        }
    }

    fn at_cell<'r>(&self, problem: Problem, get: impl FnOnce(usize) -> Option<&'r str>) -> CellProblem {
        let column = T::COLUMNS.iter().position(|column| column.name == problem.field);
        let value = column.and_then(|at| self.layout.places[at]).and_then(get);
        CellProblem {
            column: problem.field.to_owned(),
            value: value.unwrap_or_default().to_owned(),
            why: problem.why,
        }
    }

    fn refuse(&mut self, line: u64, problems: &[CellProblem], cells: impl FnOnce() -> Vec<String>) {
        self.summary.refused += 1;
        self.sink.refuse(RefusedRow { table: T::TABLE, line, problems, cells: cells(), readable: true });
    }

    fn refuse_unreadable(&mut self, broken: &Broken) {
        self.summary.refused += 1;
        let problem =
            CellProblem { column: String::new(), value: broken.raw.clone(), why: broken.why.clone() };
        let (line, problems) = (broken.line, &[problem]);
        let cells = vec![broken.raw.clone()];
        self.sink.refuse(RefusedRow { table: T::TABLE, line, problems, cells, readable: false });
    }

    fn refuse_ragged(&mut self, row: &Row, expected: usize) {
        self.summary.refused += 1;
        let why = format!("expected {expected} fields as in the header, found {}", row.len());
        let problem = CellProblem { column: String::new(), value: String::new(), why };
        let (line, problems) = (row.line, &[problem]);
        let cells = vec![as_line(row)];
        self.sink.refuse(RefusedRow { table: T::TABLE, line, problems, cells, readable: false });
    }
}

fn owned(row: &Row) -> Vec<String> {
    row.fields().map(str::to_owned).collect()
}

/// A row as it is written in a file, fields with commas in quotes.
fn as_line(row: &Row) -> String {
    let mut writer = csv::Writer::from_writer(Vec::new());
    // Nothing goes wrong in memory.
    let written = writer.write_record(row.fields()).is_ok();
    let line = writer.into_inner().ok().filter(|_| written).unwrap_or_default();
    String::from_utf8_lossy(line.strip_suffix(b"\n").unwrap_or(&line)).into_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_row_of_too_many_fields_is_told_with_its_quotes() {
        let text = "RC-100,\"A, front\",\"with \"\"tape\"\"\",,left";
        let mut rows = Rows::new(text.as_bytes()).expect("memory reads");
        let mut row = Row::default();
        rows.next_row(&mut row).expect("memory reads").expect("a row").expect("whole");
        assert_eq!(row.len(), 5);
        assert_eq!(as_line(&row), text);
    }
}
