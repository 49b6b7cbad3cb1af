//! `bartack suggest`: reads narratives and says which modes they may tell of, without a server.

use std::collections::HashMap;
use std::fs::File;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use clap::Args;
use domain::field::Field;
use domain::suggestion::{Contained, Learned};
use serde::Serialize;

use crate::cli::{Outcome, open_store, runtime};
use crate::config::names_database;
use crate::format;
use crate::pack::{Row as Line, Rows};
use crate::school::{MOST, taught, untaught};

/// Most suggestions a row.
const SUGGESTIONS: usize = 5;

/// What `suggest` takes.
#[derive(Args)]
pub struct Suggest {
    /// A CSV file with a column `narrative` and, if need be, `item_part_no`.
    file: PathBuf,
    /// Print everything as one JSON array.
    #[arg(long)]
    json: bool,
}

/// A row of the file.
#[derive(Default)]
struct Told {
    narrative: String,
    item_part_no: String,
}

/// What a row may tell of.
#[derive(Serialize)]
struct Row {
    row: usize,
    suggestions: Vec<Suggested>,
}

#[derive(Serialize)]
struct Suggested {
    kind: String,
    mode: String,
    probability: f64,
    words: Vec<String>,
}

impl Suggest {
    /// Reads, suggests, prints.
    pub fn run(self) -> Outcome {
        let rows = read(&self.file)?;
        let (learned, field) = if names_database() { from_books()? } else { (untaught(), Field::default()) };
        let mut contained: HashMap<&str, Contained<'_>> = HashMap::new();
        let answer = |(index, told): (usize, &'_ Told), contained: &Contained<'_>| Row {
            row: index + 1,
            suggestions: suggested(&learned, &told.narrative, contained),
        };
        let mut answers = Vec::with_capacity(rows.len());
        for (index, told) in rows.iter().enumerate() {
            let item = told.item_part_no.as_str();
            let within = contained.entry(item).or_insert_with(|| {
                field.part_names.find(item).map(|part| Contained::of(&field, part)).unwrap_or_default()
            });
            answers.push(answer((index, told), within));
        }
        let mut out = std::io::BufWriter::new(std::io::stdout().lock());
        if self.json {
            serde_json::to_writer_pretty(&mut out, &answers)?;
            writeln!(out)?;
        } else {
            for row in &answers {
                print(row, &mut out)?;
            }
        }
        Ok(out.flush()?)
    }
}

/// The model and the structure of items in the database that the environment names.
fn from_books() -> Result<(Arc<Learned>, Field), Box<dyn std::error::Error + Send + Sync>> {
    runtime()?.block_on(async {
        let store = open_store().await?;
        let catalogue = store.catalogue().await?;
        let confirmed = store.confirmed_examples(MOST).await?;
        Ok((taught(&catalogue, &confirmed), store.load_field().await?))
    })
}

fn suggested(learned: &Learned, narrative: &str, contained: &Contained<'_>) -> Vec<Suggested> {
    let found = learned.suggest(narrative, |kind| contained.weight(kind, None), SUGGESTIONS);
    let suggestion = |one: domain::suggestion::Suggestion<'_>| Suggested {
        kind: one.mode.kind.clone(),
        mode: one.mode.code.clone(),
        probability: one.probability,
        words: one.words.into_iter().map(|at| narrative[at].to_owned()).collect(),
    };
    found.into_iter().map(suggestion).collect()
}

/// The rows of a file, read as those of a data pack; every line that can't be read is named.
fn read(file: &Path) -> Result<Vec<Told>, String> {
    let named = |error: &dyn std::fmt::Display| format!("{}: {error}", file.display());
    let at_line = |line: u64, why: &str| named(&format!("line {line}: {why}"));
    let input = File::open(file).map_err(|error| named(&error))?;
    let mut rows = Rows::new(input).map_err(|error| named(&error))?;
    let mut row = Line::default();
    if let Some(Err(broken)) = rows.next_row(&mut row).map_err(|error| named(&error))? {
        return Err(at_line(broken.line, &broken.why));
    }
    let header: Vec<String> = row.fields().map(|title| title.trim().to_owned()).collect();
    let column = |name: &str| column(&header, name).map_err(|why| at_line(1, &why));
    let narrative = column("narrative")?.ok_or_else(|| at_line(1, "there is no column `narrative`"))?;
    let item = column("item_part_no")?;
    let (mut all, mut wrong) = (Vec::<Told>::new(), Vec::new());
    loop {
        let from = rows.line();
        let next = rows.next_row(&mut row).map_err(|error| named(&error))?;
        let begins = match &next {
            Some(Ok(())) => row.line,
            Some(Err(broken)) => broken.line,
            None => rows.line(),
        };
        // Blank lines are passed over; where there is one column each of them is a row without a narrative.
        let blank = if header.len() == 1 { begins - from } else { 0 };
        all.extend((0..blank).map(|_| Told::default()));
        match next {
            None => break,
            Some(Err(broken)) => wrong.push(at_line(broken.line, &broken.why)),
            Some(Ok(())) if row.len() != header.len() => {
                let why = format!("expected {} fields as in the header, found {}", header.len(), row.len());
                wrong.push(at_line(row.line, &why));
            }
            Some(Ok(())) => all.push(Told {
                narrative: row.get(narrative).unwrap_or_default().to_owned(),
                item_part_no: item.and_then(|at| row.get(at)).unwrap_or_default().trim().to_owned(),
            }),
        }
    }
    if wrong.is_empty() { Ok(all) } else { Err(wrong.join("\nbartack: ")) }
}

/// Where a column stands; two of one name would leave open which is meant.
fn column(header: &[String], name: &str) -> Result<Option<usize>, String> {
    let mut named = header.iter().enumerate().filter(|(_, title)| *title == name);
    let first = named.next().map(|(at, _)| at);
    match named.next() {
        None => Ok(first),
        Some(_) => Err(format!("there is more than one column `{name}`")),
    }
}

fn print(row: &Row, out: &mut impl Write) -> std::io::Result<()> {
    writeln!(out, "{}", row.row)?;
    for one in &row.suggestions {
        let words = one.words.join(", ");
        writeln!(out, "  {:>9}  {:<7} {words}", format::chance(one.probability), one.mode)?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn narratives(text: &str) -> Result<Vec<String>, String> {
        let folder = tempfile::tempdir().expect("a folder");
        let file = folder.path().join("told.csv");
        std::fs::write(&file, text).expect("written");
        Ok(read(&file)?.into_iter().map(|told| told.narrative).collect())
    }

    /// A spreadsheet writes an empty cell of a single column as an empty line.
    #[test]
    fn an_empty_line_of_a_single_column_is_a_row() {
        for end in ["\n", "\r\n", "\r"] {
            let text =
                ["narrative", "zip split", "", "strap frayed", "", "", "\"torn\n\nat the hem\"", "", ""];
            let found = narratives(&text.join(end)).expect("rows");
            assert_eq!(found, ["zip split", "", "strap frayed", "", "", "torn\n\nat the hem", ""], "{end:?}");
        }
        assert_eq!(narratives("narrative\n\nzip split").expect("rows"), ["", "zip split"]);
        assert_eq!(narratives("narrative\n").expect("no row"), [""; 0]);
        let with_units = narratives("narrative,unit\nzip split,A\n\nstrap frayed,B\n");
        assert_eq!(
            with_units.expect("rows"),
            ["zip split", "strap frayed"],
            "a row of two columns has a comma"
        );
    }

    #[test]
    fn a_quote_that_is_not_closed_swallows_no_rows_and_is_named() {
        let refused = |text: &str| narratives(text).expect_err("refused");
        let open = refused("narrative,unit\nzip split,A\n\"strap frayed,B\ntorn,A\n");
        assert!(open.ends_with("told.csv: line 3: a quote is opened and not closed"), "{open}");
        let both = refused("unit,narrative\nA,torn,off\nB,\"zip split\n");
        assert!(both.contains("line 2: expected 2 fields as in the header, found 3"), "{both}");
        assert!(both.ends_with("told.csv: line 3: a quote is opened and not closed"), "{both}");
    }

    #[test]
    fn a_guess_is_said_to_be_neither_certain_nor_impossible() {
        let guess = |probability| Suggested {
            kind: "ZIP".into(),
            mode: "ZIP-1".into(),
            probability,
            words: vec!["zip".into()],
        };
        let mut out = Vec::new();
        let row = Row { row: 1, suggestions: [0.9996, 0.62, 0.0004].map(guess).into() };
        print(&row, &mut out).expect("memory writes");
        let said = String::from_utf8(out).expect("text");
        let guesses = said.lines().filter_map(|line| line.split_once("ZIP-1"));
        let chances: Vec<&str> = guesses.map(|(chance, _)| chance.trim()).collect();
        assert_eq!(chances, ["over 99\u{a0}%", "62\u{a0}%", "under 1\u{a0}%"]);
    }

    #[test]
    fn a_column_that_stands_twice_is_refused_by_name() {
        let refused = |text: &str| narratives(text).expect_err("refused");
        let twice = refused("narrative,unit,narrative\nzip split,A,strap frayed\n");
        assert!(twice.ends_with("told.csv: line 1: there is more than one column `narrative`"), "{twice}");
        let twice = refused("narrative,item_part_no, item_part_no\nzip split,RC-100,RC-200\n");
        assert!(twice.ends_with("there is more than one column `item_part_no`"), "{twice}");
    }
}
