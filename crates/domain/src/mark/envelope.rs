//! ISO/IEC 15434 envelopes: a header, formats each in its own list, a trailer.

use super::{EOT, GS, Mark, NotAMark, RS, Reading, data_identifier, gs1, text_element};

/// Reads `[)>` RS, formats of two digits and GS each closed by RS, EOT.
pub(super) fn read(text: &str, year: i32, reading: Reading) -> Result<Mark, NotAMark> {
    let mut mark = Mark::default();
    let mut body = text.strip_prefix("[)>").unwrap_or(text);
    match body.strip_prefix(RS) {
        Some(rest) => body = rest,
        None => tolerate(&mut mark, reading, "the record separator behind its header is missing")?,
    }
    match body.strip_suffix(EOT) {
        Some(rest) => body = rest,
        None => tolerate(&mut mark, reading, "its end is missing")?,
    }
    match body.strip_suffix(RS) {
        Some(rest) => body = rest,
        None => tolerate(&mut mark, reading, "its last format is not closed")?,
    }
    for format in body.split(RS) {
        read_format(&mut mark, format, year)?;
    }
    let told = std::mem::take(&mut mark.elements);
    data_identifier::conclude(&mut mark, &told, year);
    text_element::conclude(&mut mark, &told);
    gs1::conclude(&mut mark, &told, year)?;
    Ok(Mark { elements: told, ..mark })
}

fn tolerate(mark: &mut Mark, reading: Reading, what: &'static str) -> Result<(), NotAMark> {
    if reading == Reading::Strict {
        return Err(NotAMark::Envelope(what));
    }
    mark.warn(format!("The label's envelope is damaged: {what}. Please compare with the label."));
    Ok(())
}

fn read_format(mark: &mut Mark, format: &str, year: i32) -> Result<(), NotAMark> {
    let (indicator, elements) =
        format.split_once(GS).ok_or(NotAMark::Envelope("a format has no elements"))?;
    match indicator {
        "05" => gs1::elements(mark, elements, year),
        "06" => data_identifier::elements(mark, elements),
        "12" => text_element::elements(mark, elements),
        other if other.len() == 2 && other.bytes().all(|b| b.is_ascii_digit()) => {
            mark.warn(format!("Format {other} of the label is not read here."));
            Ok(())
        }
        _ => Err(NotAMark::Envelope("a format has no indicator")),
    }
}
