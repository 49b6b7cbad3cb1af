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

/// Lines named of rows that are left as the books have them; all rows are counted.
const LINES_NAMED: usize = 10;

/// Rows that say otherwise than the books have it under the same key, where the books keep what they have.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct LeftAlone {
    /// How many.
    pub rows: u64,
    /// The first of them: the lines they begin on, from 1, and the columns that say otherwise.
    pub first: Vec<(u64, Vec<String>)>,
}

impl LeftAlone {
    /// One more.
    pub(crate) fn add(&mut self, line: u64, columns: impl Iterator<Item = String>) {
        self.rows += 1;
        if self.first.len() < LINES_NAMED {
            self.first.push((line, columns.collect()));
        }
    }

    /// Which lines they are, as many as are named: "lines 3 (name), 9 (kind) and 12 (name, kind)".
    pub fn named(&self) -> String {
        let more = self.rows.saturating_sub(self.first.len() as u64);
        let line = |(line, columns): &(u64, Vec<String>)| format!("{line} ({})", columns.join(", "));
        let mut lines: Vec<String> = self.first.iter().map(line).collect();
        if more > 0 {
            lines.push(format!("{more} more"));
        }
        match lines.as_slice() {
            [one] => format!("line {one}"),
            [first @ .., last] => format!("lines {} and {last}", first.join(", ")),
            [] => String::new(),
        }
    }
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
    /// Rows that the books have with other values and keep as they have them.
    pub left: LeftAlone,
}

impl FileSummary {
    /// A file of which nothing has been read.
    pub(crate) const fn new(table: Table) -> Self {
        let left = LeftAlone { rows: 0, first: Vec::new() };
        Self { table, rows: 0, good: 0, here: 0, repeated: 0, refused: 0, left }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_are_named_as_one_says_them() {
        let named = |lines: std::ops::Range<u64>| {
            let mut left = LeftAlone::default();
            lines.for_each(|line| {
                left.add(line, ["name", "kind"].into_iter().take(line as usize - 1).map(Into::into));
            });
            left.named()
        };
        assert_eq!(named(2..3), "line 2 (name)");
        assert_eq!(named(2..4), "lines 2 (name) and 3 (name, kind)");
        assert!(
            named(2..1_002).ends_with(", 10 (name, kind), 11 (name, kind) and 990 more"),
            "{}",
            named(2..1_002)
        );
    }
}
