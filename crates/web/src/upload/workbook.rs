//! A list in a workbook (XLSX): measured before it is opened, and read cell by cell, so that a bomb costs nothing.

use std::collections::BTreeMap;
use std::io::{self, Cursor, Read};

use calamine::{DataRef, Reader as _, SheetType, SheetVisible, Xlsx};
use zip::ZipArchive;

use super::{Collecting, MOST_COLUMNS, MOST_ROWS, MOST_TEXT, Table};

/// What a workbook may unpack to, all its parts together.
const MOST_UNPACKED: u64 = 32 << 20;
/// Parts that a workbook may have.
const MOST_PARTS: usize = 500;

/// Reads the first sheet of cells that can be seen and holds anything.
pub(super) fn read(bytes: &[u8]) -> Result<Table, String> {
    measure(bytes)?;
    let broken = |error: calamine::XlsxError| format!("is no workbook that can be read: {error}");
    let mut book = Xlsx::new(Cursor::new(bytes)).map_err(broken)?;
    let is_list = |sheet: &&calamine::Sheet| {
        sheet.typ == SheetType::WorkSheet && sheet.visible == SheetVisible::Visible
    };
    let names: Vec<String> =
        book.sheets_metadata().iter().filter(is_list).map(|sheet| sheet.name.clone()).collect();
    for name in names {
        let mut cells: BTreeMap<u32, Vec<String>> = BTreeMap::new();
        let mut text = 0;
        let mut reader = book.worksheet_cells_reader(&name).map_err(broken)?;
        while let Some(cell) = reader.next_cell().map_err(broken)? {
            let (row, column) = cell.get_position();
            let Some(words) = words(cell.get_value()) else { continue };
            if column as usize >= MOST_COLUMNS {
                return Err(format!(
                    "has something in column {} of row {}; at most {MOST_COLUMNS} columns are taken",
                    column + 1,
                    row + 1
                ));
            }
            text += words.len();
            if text > MOST_TEXT {
                return Err("holds more text than a list of failures can; send it in parts".to_owned());
            }
            let line = cells.entry(row).or_default();
            line.resize(line.len().max(column as usize + 1), String::new());
            line[column as usize] = words;
            // The headings and a title or two come on top.
            if cells.len() > MOST_ROWS + 10 {
                return Err(format!("has more than {MOST_ROWS} rows; send it in parts"));
            }
        }
        if !cells.is_empty() {
            let mut collecting = Collecting::default();
            for (row, cells) in cells {
                collecting.row(u64::from(row) + 1, Ok(cells))?;
            }
            return collecting.end();
        }
    }
    Err("has no sheet that holds anything".to_owned())
}

/// A cell's value as somebody would type it; `None` for an empty one.
fn words(value: &DataRef<'_>) -> Option<String> {
    let words = match value {
        DataRef::Empty => return None,
        DataRef::Int(number) => number.to_string(),
        DataRef::Float(number) => number.to_string(),
        DataRef::String(text) | DataRef::DateTimeIso(text) | DataRef::DurationIso(text) => text.clone(),
        DataRef::SharedString(text) => (*text).to_owned(),
        DataRef::Bool(is) => is.to_string(),
        DataRef::DateTime(moment) => match moment.as_datetime() {
            Some(moment) if moment.time() == chrono::NaiveTime::MIN => moment.date().to_string(),
            Some(moment) => moment.format("%Y-%m-%d %H:%M").to_string(),
            None => moment.as_f64().to_string(),
        },
        DataRef::Error(error) => error.to_string(),
    };
    Some(words).filter(|words| !words.trim().is_empty())
}

/// Unpacks every part once to see how large it is: what a zip says of itself may be a lie.
fn measure(bytes: &[u8]) -> Result<(), String> {
    let broken = |error: zip::result::ZipError| format!("is no workbook that can be read: {error}");
    let mut parts = ZipArchive::new(Cursor::new(bytes)).map_err(broken)?;
    if parts.len() > MOST_PARTS {
        return Err(format!("is no workbook of a list: it has {} parts", parts.len()));
    }
    if parts.has_overlapping_entries().map_err(broken)? {
        return Err("is no honest workbook: parts of it overlap".to_owned());
    }
    if parts.index_for_name("xl/workbook.xml").is_none() {
        return Err("is a zip and no workbook; send a file that ends in .xlsx or .csv".to_owned());
    }
    let mut left = MOST_UNPACKED;
    for at in 0..parts.len() {
        let part = parts.by_index(at).map_err(broken)?;
        let read = io::copy(&mut part.take(left + 1), &mut io::sink());
        let read = read.map_err(|error| format!("is no workbook that can be read: {error}"))?;
        left = left.checked_sub(read).ok_or_else(|| {
            format!("would unpack to more than {} MB, so it wasn't opened", MOST_UNPACKED >> 20)
        })?;
    }
    Ok(())
}
