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
    let column = |name: &str| header.iter().position(|title| title.trim() == name);
    let narrative = column("narrative").ok_or_else(|| named(&"line 1: there is no column `narrative`"))?;
    let item = column("item_part_no");
    let (mut rows, mut wrong) = (Vec::new(), Vec::new());
    for record in reader.records() {
        match record {
            Ok(cells) => rows.push(Told {
                narrative: cells.get(narrative).unwrap_or_default().to_owned(),
                item_part_no: item.and_then(|at| cells.get(at)).unwrap_or_default().trim().to_owned(),
            }),
            Err(error) => wrong.push(named(&error)),
        }
    }
    if wrong.is_empty() { Ok(rows) } else { Err(wrong.join("\nbartack: ")) }
}

fn print(row: &Row, out: &mut impl Write) -> std::io::Result<()> {
    writeln!(out, "{}", row.row)?;
    for one in &row.suggestions {
        let words = one.words.join(", ");
        writeln!(out, "  {:>5}  {:<7} {words}", format::percent(one.probability, 0), one.mode)?;
    }
    Ok(())
}
