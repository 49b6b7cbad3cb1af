//! Worlds obey the pack's rules, repeat by seed, and agree with their truth.

mod found;
mod holders;
mod judged;
mod learned;
mod pack;
mod reader;
mod truth;
mod world;

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use chrono::NaiveDate;
use serde_json::Value;

use super::{Request, Summary, simulate, truth_path};

type Row = BTreeMap<String, String>;

/// A world read back from disk.
struct Seen {
    summary: Summary,
    files: BTreeMap<String, Vec<Row>>,
    truth: Value,
}

impl Seen {
    fn rows(&self, file: &str) -> &[Row] {
        &self.files[file]
    }
}

fn small(seed: u64) -> Request {
    Request { seed, years: 3.0, items: 900, varied: true, ..Request::default() }
}

fn run(request: &Request) -> Seen {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("pack");
    let summary = simulate(request, &out).unwrap();
    let files = summary.files.iter().map(|(name, _)| (name.clone(), read(&out.join(name)))).collect();
    let truth = serde_json::from_slice(&std::fs::read(truth_path(&out)).unwrap()).unwrap();
    Seen { summary, files, truth }
}

fn read(path: &Path) -> Vec<Row> {
    csv::Reader::from_path(path).unwrap().deserialize().map(|row| row.unwrap()).collect()
}

fn bytes(request: &Request) -> Vec<(String, Vec<u8>)> {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("pack");
    let summary = simulate(request, &out).unwrap();
    let mut all: Vec<_> = summary
        .files
        .iter()
        .map(|(name, _)| (name.clone(), std::fs::read(out.join(name)).unwrap()))
        .collect();
    all.push(("truth".to_owned(), std::fs::read(truth_path(&out)).unwrap()));
    all
}

fn keys(rows: &[Row], column: &str) -> BTreeSet<String> {
    rows.iter().map(|row| row[column].clone()).collect()
}

fn date(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

fn texts<'a>(list: &'a Value, key: &str) -> Vec<&'a str> {
    list.as_array().unwrap().iter().map(|entry| entry[key].as_str().unwrap()).collect()
}
