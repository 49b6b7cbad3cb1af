//! The file that leaves: counts, words, and what was removed and why, packed together, and read again for the sheet.

use std::io::{Cursor, Read as _, Write as _};

use domain::disclosure::{Disclosed, Disclosure, Removal};
use zip::result::ZipError;
use zip::write::SimpleFileOptions;
use zip::{DateTime, ZipArchive, ZipWriter};

use crate::error::AppError;
use crate::format;

/// What is between two reporters' words.
const BETWEEN: &str = "\n\n";

/// A packed file as a reader sees it.
#[derive(Default)]
pub(super) struct Contents {
    /// The text that says what is in it.
    pub(super) first: String,
    /// What each table is by, and its rows.
    pub(super) tables: Vec<(String, Vec<[String; 2]>)>,
    /// The reporters' words.
    pub(super) narratives: Vec<String>,
}

/// Reads what was packed, so that whoever looks through it sees the file itself.
///
/// # Errors
/// It is not a file that [`pack`] made.
pub(super) fn unpack(bytes: &[u8]) -> Result<Contents, AppError> {
    let mut zip = ZipArchive::new(Cursor::new(bytes)).map_err(AppError::inside)?;
    let mut read = |name: &str| -> Result<String, AppError> {
        let mut text = String::new();
        match zip.by_name(name) {
            Ok(mut file) => file.read_to_string(&mut text).map_err(AppError::inside)?,
            Err(ZipError::FileNotFound) => 0,
            Err(error) => return Err(AppError::inside(error)),
        };
        Ok(text)
    };
    let mut tables: Vec<(String, Vec<[String; 2]>)> = Vec::new();
    for line in csv::Reader::from_reader(read("counts.csv")?.as_bytes()).into_deserialize() {
        let (by, row, items): (String, String, String) = line.map_err(AppError::inside)?;
        match tables.last_mut().filter(|(last, _)| *last == by) {
            Some((_, rows)) => rows.push([row, items]),
            None => tables.push((by, vec![[row, items]])),
        }
    }
    let words = read("words.txt")?;
    let narratives = words.split(BETWEEN).filter(|one| !one.is_empty()).map(str::to_owned).collect();
    Ok(Contents { first: read("read-first.txt")?, tables, narratives })
}

/// Packs what leaves. The same values give the same bytes.
///
/// # Errors
/// None that can happen in memory.
pub(super) fn pack(what: &Disclosure, number: &str, out: &Disclosed) -> Result<Vec<u8>, AppError> {
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    let options = SimpleFileOptions::default().last_modified_time(DateTime::default());
    let mut add = |name: &str, bytes: &[u8]| -> Result<(), AppError> {
        zip.start_file(name, options).map_err(AppError::inside)?;
        zip.write_all(bytes).map_err(AppError::inside)
    };
    add("read-first.txt", read_first(what, number, out).as_bytes())?;
    add("counts.csv", &counts(out)?)?;
    add("removed.csv", &removed(what)?)?;
    if !out.narratives.is_empty() {
        add("words.txt", out.narratives.join(BETWEEN).as_bytes())?;
    }
    Ok(zip.finish().map_err(AppError::inside)?.into_inner())
}

fn counts(out: &Disclosed) -> Result<Vec<u8>, AppError> {
    let mut file = csv::Writer::from_writer(Vec::new());
    file.write_record(["by", "row", "items"]).map_err(AppError::inside)?;
    for table in &out.counts {
        for (row, told) in &table.rows {
            let told = told.map_or_else(|| "withheld".to_owned(), |count| count.to_string());
            file.write_record([table.by, &format::harmless(row), &told]).map_err(AppError::inside)?;
        }
    }
    file.into_inner().map_err(|error| AppError::inside(error.to_string()))
}

fn removed(what: &Disclosure) -> Result<Vec<u8>, AppError> {
    let mut file = csv::Writer::from_writer(Vec::new());
    file.write_record(["removed", "why"]).map_err(AppError::inside)?;
    for (removal, why) in &what.removals {
        file.write_record([removal.word(), &format::harmless(why)]).map_err(AppError::inside)?;
    }
    let small = format!("counts below {}", what.threshold);
    file.write_record([small.as_str(), "few items could be told from each other"])
        .map_err(AppError::inside)?;
    file.into_inner().map_err(|error| AppError::inside(error.to_string()))
}

fn read_first(what: &Disclosure, number: &str, out: &Disclosed) -> String {
    let words = if what.removes(Removal::Narratives) {
        "The reporters' words were removed.".to_owned()
    } else {
        format!(
            "words.txt has the reporters' words in the order of the alphabet; {} in them.",
            format::counted(out.struck, "name or number was struck", "names and numbers were struck")
        )
    };
    format!(
        "{number}: failure {} of part {}, for {}\n\n{} in all. {} in counts.csv, because they are below {} or would let such a \
         count be worked out.{}\n{words}\nremoved.csv says what was removed and why.\n\nRates can't be made from these counts: they \
         come from reports, and few reports isn't proof of safety.\n",
        what.mode,
        what.part_no,
        what.to,
        format::counted(out.total, "item was reported", "items were reported"),
        format::counted(out.withheld, "count is withheld", "counts are withheld"),
        what.threshold,
        super::left_out(out),
    )
}
