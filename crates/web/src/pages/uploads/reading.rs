//! The rows of a list as reports: each read and checked as the form reads and checks its answers.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use chrono::NaiveDate;
use domain::report::{Altered, FoundWhen, Harm, ItemFate, Report};
use domain::upload::{Column, plain_harm, plain_heading, plain_word, read_day, shortened};
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
    items: Named,
    parts: Named,
    pub(super) units: BTreeSet<String>,
}

/// Part numbers, each with its name.
struct Named(BTreeMap<String, String>);

impl Named {
    /// The number that a cell names: as it stands, else the only one that it is or whose name it is but for case, blanks and
    /// signs.
    fn find(&self, typed: &str) -> Option<&str> {
        if let Some((part_no, _)) = self.0.get_key_value(typed) {
            return Some(part_no);
        }
        let plain = plain_heading(typed);
        let is_it = |(part_no, name): &(&String, &String)| {
            plain_heading(part_no) == plain || plain_heading(name) == plain
        };
        let mut found = self.0.iter().filter(is_it);
        found.next().filter(|_| found.next().is_none()).map(|(part_no, _)| part_no.as_str())
    }

    /// The first of them, for who named none.
    fn first(&self) -> String {
        let first: Vec<String> =
            self.0.iter().take(6).map(|(part_no, name)| format!("{part_no} ({name})")).collect();
        let more = if self.0.len() > first.len() { " …" } else { "" };
        format!("{}{more}", first.join(", "))
    }
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
            items: Named(
                store.list_items().await?.into_iter().map(|item| (item.part_no, item.name)).collect(),
            ),
            parts: Named(
                store.list_parts().await?.into_iter().map(|part| (part.part_no, part.name)).collect(),
            ),
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

    /// The number of what a cell names; one that isn't in the books, or may be several, is noted.
    fn known(&mut self, column: Column, all: &Named, what: &str) -> String {
        let typed = self.cell(column).to_owned();
        if typed.is_empty() {
            return typed;
        }
        let found = all.find(&typed).map(str::to_owned);
        if found.is_none() {
            self.wrong(column, format!("there is no such {what}; expected one of {}", all.first()));
        }
        found.unwrap_or(typed)
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
        answers.item = self.known(Column::Item, &books.items, "item");
        answers.part = self.known(Column::Part, &books.parts, "part");
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_item_is_known_by_its_number_or_by_a_name_that_is_its_own() {
        let named = |all: &[(&str, &str)]| {
            Named(all.iter().map(|(part_no, name)| ((*part_no).to_owned(), (*name).to_owned())).collect())
        };
        let items = named(&[("LP-200", "Load pack"), ("LP-210", "Day pack"), ("RC-100", "Rescue carrier")]);
        for typed in ["RC-100", "rc 100", "Rescue Carrier", "rescue-carrier"] {
            assert_eq!(items.find(typed), Some("RC-100"), "{typed}");
        }
        assert_eq!(items.find("pack"), None);
        assert_eq!(items.first(), "LP-200 (Load pack), LP-210 (Day pack), RC-100 (Rescue carrier)");
        let twins = named(&[("A-1", "Pack"), ("A-2", "pack")]);
        assert_eq!((twins.find("pack"), twins.find("A-2")), (None, Some("A-2")));
    }
}
