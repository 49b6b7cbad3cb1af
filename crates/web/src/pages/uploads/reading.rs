//! The rows of a list as reports: each read and checked as the form reads and checks its answers.

use std::collections::{BTreeSet, HashMap};

use chrono::NaiveDate;
use domain::report::{Altered, FoundWhen, Harm, ItemFate, Report};
use domain::upload::{Column, plain_harm, plain_word, read_day, shortened};
use store::{NewUploadRow, Store};

use super::layout::Layout;
use crate::error::AppError;
use crate::format;
use crate::pages::report::answers::Answers;
use crate::secrets::digest_hex;
use crate::tongue::Tongue;
use crate::upload::{Table, TableRow};

/// What rows may name.
pub(super) struct Books {
    items: BTreeSet<String>,
    parts: BTreeSet<String>,
    pub(super) units: BTreeSet<String>,
}

/// One row, read.
pub(super) struct ReadRow {
    pub(super) line: u64,
    pub(super) read: Result<Good, Vec<Wrong>>,
}

/// A row that makes a report.
pub(super) struct Good {
    pub(super) report: Report,
    pub(super) altered_by: Option<String>,
    cells: Vec<String>,
}

/// What is wrong with one cell.
pub(super) struct Wrong {
    pub(super) column: String,
    pub(super) found: String,
    pub(super) why: String,
}

impl Books {
    pub(super) async fn of(store: &Store) -> Result<Self, AppError> {
        Ok(Self {
            items: store.list_items().await?.into_iter().map(|item| item.part_no).collect(),
            parts: store.list_parts().await?.into_iter().map(|part| part.part_no).collect(),
            units: store.list_units().await?.into_iter().map(|unit| unit.unit).collect(),
        })
    }
}

/// Reads every row.
pub(super) fn read(table: &Table, layout: &Layout, books: &Books, today: NaiveDate) -> Vec<ReadRow> {
    let of_row = |row: &TableRow| {
        let read = match &row.cells {
            Ok(cells) => Reading { table, layout, books, cells, wrong: Vec::new() }.report(today),
            Err(why) => Err(vec![Wrong {
                column: "the row".into(),
                found: String::new(),
                why: format::sentence(why),
            }]),
        };
        ReadRow { line: row.line, read }
    };
    table.rows.iter().map(of_row).collect()
}

/// The rows that make reports, each under a key that follows from what the file says and the unit it is of: the same row
/// is sent once, in however many files it stands and whoever sends them.
pub(super) fn to_send(rows: Vec<ReadRow>, list: &str) -> Vec<NewUploadRow> {
    let mut seen: HashMap<String, u32> = HashMap::new();
    let mut new = Vec::new();
    for row in rows {
        let Ok(good) = row.read else { continue };
        let says = format!("{}\n{}", good.report.unit, good.cells.join("\u{1f}"));
        // Two rows that say the same tell of two failures.
        let count = seen.entry(says.clone()).or_default();
        *count += 1;
        let client_key = digest_hex(format!("list row {says}\n{count}").as_bytes());
        new.push(NewUploadRow {
            line: row.line,
            secret_hash: digest_hex(format!("receipt {list} {client_key}").as_bytes()),
            client_key,
            report: good.report,
            altered_by: good.altered_by,
        });
    }
    new
}

struct Reading<'a> {
    table: &'a Table,
    layout: &'a Layout,
    books: &'a Books,
    cells: &'a [String],
    wrong: Vec<Wrong>,
}

impl Reading<'_> {
    fn cell(&self, column: Column) -> &str {
        let place = self.layout.place(column);
        place.and_then(|place| self.cells.get(place)).map_or("", String::as_str)
    }

    fn heading(&self, column: Column) -> Option<&String> {
        self.layout.place(column).and_then(|place| self.table.headings.get(place))
    }

    fn wrong(&mut self, column: Column, why: impl AsRef<str>) {
        let wrong = Wrong {
            column: self
                .heading(column)
                .map_or_else(|| column.title().to_owned(), |heading| shortened(heading)),
            found: shortened(self.cell(column)),
            why: format::sentence(why.as_ref()),
        };
        self.wrong.push(wrong);
    }

    /// A word of a fixed list; one that isn't on it is noted.
    fn word(&mut self, column: Column, all: &[&'static str]) -> String {
        let typed = self.cell(column).to_owned();
        if typed.is_empty() {
            return typed;
        }
        let word = plain_word(&typed, all);
        if word.is_none() {
            let words: Vec<String> = all.iter().map(|word| word.replace('_', " ")).collect();
            self.wrong(column, format!("expected one of {}", words.join(", ")));
        }
        word.unwrap_or_default().to_owned()
    }

    /// Whether anybody was hurt; an answer that can't be one is noted.
    fn harm(&mut self) -> String {
        let (column, typed) = (Column::Harm, self.cell(Column::Harm));
        match plain_harm(typed, self.heading(column).map_or("", String::as_str)) {
            Some(harm) => harm.word().to_owned(),
            None => self.word(column, &words(Harm::ALL, Harm::word)),
        }
    }

    fn known(&mut self, column: Column, all: &BTreeSet<String>, what: &str) {
        let typed = self.cell(column).to_owned();
        if !typed.is_empty() && !all.contains(&typed) {
            let known: Vec<&str> = all.iter().take(6).map(String::as_str).collect();
            let more = if all.len() > known.len() { " …" } else { "" };
            self.wrong(
                column,
                format!("there is no such {what}; expected one of {}{more}", known.join(", ")),
            );
        }
    }

    fn report(mut self, today: NaiveDate) -> Result<Good, Vec<Wrong>> {
        let mut answers = Answers { worn_unit: "weeks".to_owned(), ..Answers::default() };
        for column in Column::ALL {
            if let Some(answer) = answers.field(column.word()) {
                self.cell(*column).clone_into(answer);
            }
        }
        answers.harm = self.harm();
        answers.found_when = self.word(Column::FoundWhen, &words(FoundWhen::ALL, FoundWhen::word));
        answers.altered = self.word(Column::Altered, &words(Altered::ALL, Altered::word));
        answers.fate = self.word(Column::Fate, &words(ItemFate::ALL, ItemFate::word));
        if !answers.lot_text.is_empty() {
            "read".clone_into(&mut answers.lot_known);
        }
        if !answers.found_on.is_empty() {
            match read_day(&answers.found_on, self.layout.order) {
                Ok(day) => answers.found_on = day.to_string(),
                Err(why) => {
                    self.wrong(Column::FoundOn, why);
                    answers.found_on.clear();
                }
            }
        }
        let books = self.books;
        self.known(Column::Item, &books.items, "item");
        self.known(Column::Part, &books.parts, "part");
        let unit = match self.cell(Column::Unit) {
            "" => self.layout.unit.clone(),
            named => named.to_owned(),
        };
        if !books.units.contains(&unit) {
            let why = if unit.is_empty() { "no unit is named" } else { "there is no such unit" };
            self.wrong(Column::Unit, why);
        }
        match answers.report(Tongue::ENGLISH, "", &unit, today) {
            Ok(report) if self.wrong.is_empty() => {
                let altered_by = Some(answers.altered_by.trim().to_owned()).filter(|by| !by.is_empty());
                Ok(Good { report, altered_by, cells: self.cells.to_vec() })
            }
            Ok(_) => Err(self.wrong),
            Err(problems) => {
                for problem in problems {
                    let column = problem.field().parse().unwrap_or(Column::Story);
                    // A word that was refused above leaves its answer empty: once is enough.
                    let said = self.wrong.iter().any(|wrong| wrong.column == self.name(column));
                    if !said {
                        self.wrong(column, problem.says());
                    }
                }
                Err(self.wrong)
            }
        }
    }

    fn name(&self, column: Column) -> String {
        let heading = self.layout.place(column).and_then(|place| self.table.headings.get(place));
        heading.map_or_else(|| column.title().to_owned(), |heading| shortened(heading))
    }
}

fn words<T: Copy>(all: &[T], word: fn(T) -> &'static str) -> Vec<&'static str> {
    all.iter().map(|value| word(*value)).collect()
}
