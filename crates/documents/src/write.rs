//! Lays a document out and writes it as one file.

use chrono::{DateTime, Datelike as _, Timelike as _, Utc};
use typst::diag::{FileError, SourceDiagnostic};
use typst::foundations::{Datetime, Smart};
use typst_layout::PagedDocument;
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards, Timestamp};

use crate::document::Document;
use crate::letters;
use crate::world::{Desk, holds};

/// How many documents the caches of the layout outlive.
const KEPT_FOR: usize = 8;

/// Why a document can't be written; each is a fault of the program, never of a text.
#[derive(Debug, thiserror::Error)]
pub enum DocumentError {
    /// Values that don't become JSON.
    #[error("the values of a document can't be written down")]
    Values(#[from] serde_json::Error),
    /// No such template.
    #[error("no template: {0}")]
    Template(#[from] FileError),
    /// A template that fails, or a page that breaks the standards.
    #[error("a document can't be laid out: {0}")]
    Layout(String),
}

/// Writes a document as PDF/A-2a and PDF/UA-1. The same document gives the same bytes.
///
/// # Errors
/// [`DocumentError`], all of them faults of a template or of this crate.
pub fn pdf(document: &Document) -> Result<Vec<u8>, DocumentError> {
    let written = write(document);
    comemo::evict(KEPT_FOR);
    written
}

fn write(document: &Document) -> Result<Vec<u8>, DocumentError> {
    let mut values = serde_json::to_value(document)?;
    letters::fit(&mut values, &holds);
    let desk = Desk::new(document.kind.template(), serde_json::to_vec(&values)?)?;
    let pages = typst::compile::<PagedDocument>(&desk).output.map_err(|found| layout(&found))?;
    let standards = PdfStandards::new(&[PdfStandard::A_2a, PdfStandard::Ua_1])
        .map_err(|found| DocumentError::Layout(format!("{found:?}")))?;
    let options = PdfOptions {
        ident: Smart::Custom(document.ident.clone()),
        creator: Smart::Custom(Some("Bartack".into())),
        timestamp: timestamp(document.at),
        standards,
        ..PdfOptions::default()
    };
    typst_pdf::pdf(&pages, &options).map_err(|found| layout(&found))
}

fn layout(found: &[SourceDiagnostic]) -> DocumentError {
    let said: Vec<&str> = found.iter().map(|one| one.message.as_str()).collect();
    DocumentError::Layout(said.join("; "))
}

fn timestamp(at: DateTime<Utc>) -> Option<Timestamp> {
    let part = |number: u32| u8::try_from(number).ok();
    let time = Datetime::from_ymd_hms(
        at.year(),
        part(at.month())?,
        part(at.day())?,
        part(at.hour())?,
        part(at.minute())?,
        part(at.second())?,
    )?;
    Some(Timestamp::new_utc(time))
}

#[cfg(test)]
mod tests {
    use typst::layout::{Frame as Laid, FrameItem};
    use typst_layout::PagedDocument;

    use super::*;
    use crate::{Block, Cell, Column, Frame, Kind};

    /// The words of a layout in the order they are drawn.
    fn words(frame: &Laid, out: &mut String) {
        for (_, item) in frame.items() {
            match item {
                FrameItem::Group(group) => words(&group.frame, out),
                FrameItem::Text(text) => out.push_str(&text.text),
                _ => {}
            }
        }
    }

    fn sheets(frame: Frame, body: Vec<Block>) -> PagedDocument {
        let at = DateTime::from_timestamp(1_772_539_200, 0).unwrap();
        let document =
            Document { kind: Kind::Record, ident: "x".into(), at, language: "en".into(), frame, body };
        let mut values = serde_json::to_value(&document).unwrap();
        letters::fit(&mut values, &holds);
        let desk = Desk::new("record.typ", serde_json::to_vec(&values).unwrap()).unwrap();
        typst::compile::<PagedDocument>(&desk).output.unwrap()
    }

    fn laid_out(block: Block) -> Vec<String> {
        let pages = sheets(Frame::default(), vec![block]);
        let sheet = |page: &typst_layout::Page| {
            let mut out = String::new();
            words(&page.frame, &mut out);
            out
        };
        pages.pages().iter().map(sheet).collect()
    }

    /// Each text of a layout with its place from the upper left, in points: where it begins and ends, and its line.
    fn places(frame: &Laid, (left, top): (f64, f64), out: &mut Vec<(String, f64, f64, f64)>) {
        for (at, item) in frame.items() {
            let (x, y) = (left + at.x.to_pt(), top + at.y.to_pt());
            match item {
                FrameItem::Group(group) => {
                    let moved = group.transform;
                    places(&group.frame, (x + moved.tx.to_pt(), y + moved.ty.to_pt()), out);
                }
                FrameItem::Text(text) => out.push((text.text.to_string(), x, x + text.width().to_pt(), y)),
                _ => {}
            }
        }
    }

    /// A part name of 200 letters, a title of 180 and a lot number of 60 are as long as the books let them be.
    #[test]
    fn the_marking_stays_on_the_paper_and_a_number_in_its_field_however_long_they_are() {
        let number = "TARN0001".repeat(8);
        let title = format!("{}: {}", "slide fastener ".repeat(13), "coated slider ".repeat(13));
        let frame =
            Frame { number: number.clone(), title, bottom: Some("INTERNAL".into()), ..Frame::default() };
        let pages = sheets(frame, vec![Block::paragraph("salt wears the slider ".repeat(900))]);
        assert!(pages.pages().len() > 1);
        for (at, page) in pages.pages().iter().enumerate() {
            let (mut found, size) = (Vec::new(), page.frame.size());
            places(&page.frame, (0.0, 0.0), &mut found);
            let markings = found.iter().filter(|(text, ..)| text == "INTERNAL");
            let lowest = markings.map(|place| place.3).fold(0.0, f64::max);
            let above = size.y.to_pt() - lowest;
            assert!((12.0..40.0).contains(&above), "sheet {at}: {above} above the edge");
            let (is_first, half) = (at == 0, size.y.to_pt() / 2.0);
            let is_part = |text: &str| text.len() > 2 && number.contains(text);
            let parts: Vec<_> =
                found.iter().filter(|(text, _, _, y)| is_first && *y > half && is_part(text)).collect();
            assert_eq!(parts.len() > 1, is_first, "its lines in the title block: {parts:?}");
            // Half of the block's 78 mm.
            assert!(parts.iter().all(|(_, begins, ends, _)| ends - begins < 110.5), "{parts:?}");
        }
    }

    #[test]
    fn a_digest_stands_in_the_text_letter_by_letter() {
        let digest = "9f86d081884c7d65".repeat(4);
        let row = vec![Cell::new("Submission"), Cell::code(&*digest)];
        let columns = vec![Column::content("For"), Column::share("SHA-256", 1.0)];
        let found = laid_out(Block::Table { caption: None, columns, rows: vec![row] });
        assert!(found[0].contains(&digest), "{found:?}");
    }

    #[test]
    fn a_long_table_shows_its_head_on_every_sheet() {
        let row = |at: usize| vec![Cell::new(format!("row {at}"))];
        let columns = vec![Column::share("Lot number", 1.0)];
        let sheets = laid_out(Block::Table { caption: None, columns, rows: (0..300).map(row).collect() });
        assert!(sheets.len() > 3, "{}", sheets.len());
        for sheet in &sheets {
            assert!(
                sheet.contains("Lot number") && sheet.contains(&format!(" of {}", sheets.len())),
                "{sheet}"
            );
        }
    }

    #[test]
    fn what_a_person_typed_is_drawn_letter_by_letter() {
        let typed = "#emph[x] *bold* $x^2$ \\ \"so\" <a> @b `c` ~ -- ... Größe Łódź";
        let found = laid_out(Block::paragraph(typed));
        assert!(found[0].contains(typed), "{found:?}");
    }
}
