//! A list in a text file: commas, semicolons or tabulators between the cells, UTF-8 or UTF-16.

use std::borrow::Cow;

use super::{Collecting, Table};
use crate::pack::{NOT_UTF8, Row, Rows};

/// Signs that may stand between cells.
const SIGNS: [u8; 3] = [b',', b';', b'\t'];

/// Reads a text file.
pub(super) fn read(bytes: &[u8]) -> Result<Table, String> {
    let text = utf8(bytes)?;
    let mut rows = Rows::separated(&text[..], sign(&text)).map_err(|error| error.to_string())?;
    let mut collecting = Collecting::default();
    let mut row = Row::default();
    while let Some(next) = rows.next_row(&mut row).map_err(|error| error.to_string())? {
        match next {
            Ok(()) => collecting.row(row.line, Ok(row.fields().map(str::to_owned).collect()))?,
            Err(broken) => collecting.row(broken.line, Err(plain(&broken.why)))?,
        }
    }
    collecting.end()
}

/// What is wrong with a row, with a way out where there is one.
fn plain(why: &str) -> String {
    if why.ends_with(NOT_UTF8) {
        return "has letters in an old encoding; save the file as CSV UTF-8 or as .xlsx".to_owned();
    }
    format!("can't be read: {why}")
}

/// The text as UTF-8; UTF-16 is known by its mark.
fn utf8(bytes: &[u8]) -> Result<Cow<'_, [u8]>, String> {
    let units: fn([u8; 2]) -> u16 = match bytes {
        [0xFF, 0xFE, ..] => u16::from_le_bytes,
        [0xFE, 0xFF, ..] => u16::from_be_bytes,
        _ => return Ok(Cow::Borrowed(bytes)),
    };
    let (pairs, rest) = bytes[2..].as_chunks::<2>();
    if !rest.is_empty() {
        return Err("is cut off in the middle of a letter; save it again".to_owned());
    }
    let letters = char::decode_utf16(pairs.iter().map(|pair| units(*pair)));
    let text: Result<String, _> = letters.collect();
    text.map(|text| Cow::Owned(text.into_bytes())).map_err(|_| "is no text; save it as CSV UTF-8".to_owned())
}

/// The sign that the first line has most of, outside quotes.
fn sign(text: &[u8]) -> u8 {
    let mut counts = [0_usize; SIGNS.len()];
    let mut quoted = false;
    for byte in text {
        match byte {
            b'"' => quoted = !quoted,
            b'\n' | b'\r' if !quoted && counts.iter().any(|count| *count > 0) => break,
            _ if quoted => {}
            _ => {
                if let Some(at) = SIGNS.iter().position(|sign| sign == byte) {
                    counts[at] += 1;
                }
            }
        }
    }
    let most = counts.iter().max().copied().unwrap_or(0);
    SIGNS[counts.iter().position(|count| *count == most).unwrap_or(0)]
}
