//! The cells of one row, read in the order of the columns; every wrong cell is noted, not only the first.

use super::forms::Form;
use super::rows::Row;

/// A column of a table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Column {
    /// Its name.
    pub(crate) name: &'static str,
    /// Whether it must be filled.
    pub(crate) must: bool,
}

/// What is wrong with one cell.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct CellProblem {
    /// The column.
    pub(crate) column: String,
    /// What stands there.
    pub(crate) value: String,
    /// What was expected.
    pub(crate) why: String,
}

/// Where the columns of a table stand in one file.
#[derive(Clone, Debug, Default)]
pub(crate) struct Layout {
    /// For each column of the table its place in the file; `None` where the file leaves it out.
    pub(crate) places: Vec<Option<usize>>,
    /// Body dimensions, by name without unit, with their places.
    pub(crate) dimensions: Vec<(String, usize)>,
}

/// A cursor over the cells of a row, in the order of the table's columns.
pub(crate) struct Cells<'a> {
    columns: &'static [Column],
    layout: &'a Layout,
    row: &'a Row,
    at: usize,
    problems: Vec<CellProblem>,
}

impl<'a> Cells<'a> {
    /// The cells of a row of a table.
    pub(crate) fn new(columns: &'static [Column], layout: &'a Layout, row: &'a Row) -> Self {
        Self { columns, layout, row, at: 0, problems: Vec::new() }
    }

    fn next(&mut self) -> (&'static str, Option<&'a str>) {
        let at = self.at;
        self.at += 1;
        let text = self.layout.places[at].and_then(|place| self.row.get(place));
        // Blanks are what other programs fill an empty cell up with.
        (self.columns[at].name, text.filter(|t| !t.trim().is_empty()))
    }

    fn read<T>(&mut self, form: &impl Form<T>, column: &str, text: &str) -> Option<T> {
        match form.read(text) {
            Ok(value) => Some(value),
            Err(why) => {
                self.problem(column, text, why);
                None
            }
        }
    }

    /// Notes what is wrong with a cell.
    pub(crate) fn problem(&mut self, column: &str, value: &str, why: String) {
        self.problems.push(CellProblem { column: column.to_owned(), value: value.to_owned(), why });
    }

    /// The next cell, which must be filled; `None` when something is wrong with it.
    pub(crate) fn must<T>(&mut self, form: &impl Form<T>) -> Option<T> {
        let (column, text) = self.next();
        if let Some(text) = text {
            return self.read(form, column, text);
        }
        self.problem(column, "", format!("must be filled: {}", form.expected()));
        None
    }

    /// The next cell, which may be empty; `None` when it is, or when something is wrong with it.
    pub(crate) fn may<T>(&mut self, form: &impl Form<T>) -> Option<T> {
        let (column, text) = self.next();
        text.and_then(|text| self.read(form, column, text))
    }

    /// The next cell, with a value of its own when empty; `None` when something is wrong with it.
    pub(crate) fn or<T>(&mut self, form: &impl Form<T>, empty: Option<T>) -> Option<T> {
        let (column, text) = self.next();
        match text {
            None => empty,
            Some(text) => self.read(form, column, text),
        }
    }

    /// The cells of body dimensions, by name without unit.
    pub(crate) fn dimensions(&mut self, form: &impl Form<f64>) -> Vec<(String, Option<f64>)> {
        let layout = self.layout;
        let mut values = Vec::with_capacity(layout.dimensions.len());
        for (name, place) in &layout.dimensions {
            let text = self.row.get(*place).filter(|t| !t.trim().is_empty());
            let value = text.and_then(|text| self.read(form, &format!("{name}_mm"), text));
            values.push((name.clone(), value));
        }
        values
    }

    /// Everything found wrong.
    pub(crate) fn into_problems(self) -> Vec<CellProblem> {
        self.problems
    }
}
