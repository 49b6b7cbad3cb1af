//! The file that leaves: counts, words, and what was removed and why, packed together.

use std::io::{Cursor, Write as _};

use domain::disclosure::{Disclosed, Disclosure, Removal};
use zip::ZipWriter;
use zip::write::SimpleFileOptions;

use crate::error::AppError;
use crate::format;

/// Packs what leaves. The same values give the same bytes.
///
/// # Errors
/// None that can happen in memory.
pub(super) fn pack(what: &Disclosure, number: &str, out: &Disclosed) -> Result<Vec<u8>, AppError> {
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    let mut add = |name: &str, bytes: &[u8]| -> Result<(), AppError> {
        zip.start_file(name, SimpleFileOptions::default()).map_err(AppError::inside)?;
        zip.write_all(bytes).map_err(AppError::inside)
    };
    add("read-first.txt", read_first(what, number, out).as_bytes())?;
    add("counts.csv", &counts(out)?)?;
    add("removed.csv", &removed(what)?)?;
    if !out.narratives.is_empty() {
        add("words.txt", out.narratives.join("\n\n").as_bytes())?;
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
         count be worked out.\n{words}\nremoved.csv says what was removed and why.\n\nRates can't be made from these counts: they \
         come from reports, and few reports isn't proof of safety.\n",
        what.mode,
        what.part_no,
        what.to,
        format::counted(out.total, "item was reported", "items were reported"),
        format::counted(out.withheld, "count is withheld", "counts are withheld"),
        what.threshold,
    )
}
