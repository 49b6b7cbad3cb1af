//! `bartack suggest`: reads narratives and says which modes they may tell of, without a server.

use std::collections::HashMap;
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

/// The rows of a file; every line that can't be read is named.
fn read(file: &Path) -> Result<Vec<Told>, String> {
    let named = |error: &dyn std::fmt::Display| format!("{}: {error}", file.display());
    let bytes = std::fs::read(file).map_err(|error| named(&error))?;
    let text = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(&bytes);
    let mut reader = csv::Reader::from_reader(text);
    let header = reader.headers().map_err(|error| named(&error))?.clone();
    let column = |name: &str| column(&header, name).map_err(|error| named(&error));
    let narrative = column("narrative")?.ok_or_else(|| named(&"line 1: there is no column `narrative`"))?;
    let item = column("item_part_no")?;
    let (mut rows, mut wrong) = (Vec::<Told>::new(), Vec::new());
    let mut cells = csv::StringRecord::new();
    loop {
        // The reader skips empty lines; where there is one column each of them is a row without a narrative.
        let skipped =
            if header.len() == 1 { empty_lines(text, reader.position().byte() as usize) } else { 0 };
        rows.extend(std::iter::repeat_with(Told::default).take(skipped));
        match reader.read_record(&mut cells) {
            Ok(true) => rows.push(Told {
                narrative: cells.get(narrative).unwrap_or_default().to_owned(),
                item_part_no: item.and_then(|at| cells.get(at)).unwrap_or_default().trim().to_owned(),
            }),
            Ok(false) => break,
            Err(error) => wrong.push(named(&error)),
        }
    }
    if wrong.is_empty() { Ok(rows) } else { Err(wrong.join("\nbartack: ")) }
}

/// Where a column stands; two of one name would leave open which is meant.
fn column(header: &csv::StringRecord, name: &str) -> Result<Option<usize>, String> {
    let mut named = header.iter().enumerate().filter(|(_, title)| title.trim() == name);
    let first = named.next().map(|(at, _)| at);
    match named.next() {
        None => Ok(first),
        Some(_) => Err(format!("line 1: there is more than one column `{name}`")),
    }
}

/// How many lines are empty from a place on, behind the end of a row.
fn empty_lines(text: &[u8], place: usize) -> usize {
    let (before, mut rest) = text.split_at(place.min(text.len()));
    // The reader takes the second half of a line's end with the row that follows.
    if before.ends_with(b"\r") {
        rest = rest.strip_prefix(b"\n").unwrap_or(rest);
    }
    let ends = [b"\r\n".as_slice(), b"\n", b"\r"];
    let mut found = 0;
    while let Some(next) = ends.iter().find_map(|end| rest.strip_prefix(*end)) {
        (found, rest) = (found + 1, next);
    }
    found
}

fn print(row: &Row, out: &mut impl Write) -> std::io::Result<()> {
    writeln!(out, "{}", row.row)?;
    for one in &row.suggestions {
        let words = one.words.join(", ");
        writeln!(out, "  {:>5}  {:<7} {words}", format::percent(one.probability, 0), one.mode)?;
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
    fn a_column_that_stands_twice_is_refused_by_name() {
        let refused = |text: &str| narratives(text).expect_err("refused");
        let twice = refused("narrative,unit,narrative\nzip split,A,strap frayed\n");
        assert!(twice.ends_with("told.csv: line 1: there is more than one column `narrative`"), "{twice}");
        let twice = refused("narrative,item_part_no, item_part_no\nzip split,RC-100,RC-200\n");
        assert!(twice.ends_with("there is more than one column `item_part_no`"), "{twice}");
    }
}
