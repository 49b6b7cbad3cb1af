//! What a written document is, seen from outside: the same bytes, the standards' marks, and text that stays text.

mod sample;

use documents::{Block, Cell, Column, Document, Kind, pdf};
use sample::{document, every_block, table};

/// A written file as text: its tags and marks stand there plainly, its packed streams read as rubbish.
struct Written(String);

impl Written {
    fn of(document: &Document) -> Self {
        Self(String::from_utf8_lossy(&pdf(document).expect("a document")).into_owned())
    }

    fn has(&self, words: &str) -> bool {
        self.0.contains(words)
    }

    fn count(&self, words: &str) -> usize {
        self.0.matches(words).count()
    }

    fn sheets(&self) -> usize {
        self.count("/Type/Page/")
    }
}

#[test]
fn the_same_values_give_the_same_bytes_and_another_text_others() {
    for kind in Kind::ALL {
        let whole = document(kind, every_block());
        let once = pdf(&whole).unwrap();
        // Other documents in between must leave nothing behind.
        let other = pdf(&document(kind, vec![Block::paragraph("other")])).unwrap();
        assert_ne!(once, other);
        assert_eq!(once, pdf(&whole).unwrap(), "{kind:?}");
    }
}

/// ISO 19005-2 level A and ISO 14289-1: identification, tags, language, title shown, fonts inside.
#[test]
fn a_document_carries_the_marks_of_its_standards() {
    for kind in Kind::ALL {
        let file = Written::of(&document(kind, every_block()));
        for mark in [
            "<pdfaid:part>2</pdfaid:part>",
            "<pdfaid:conformance>A</pdfaid:conformance>",
            "<pdfuaid:part>1</pdfuaid:part>",
        ] {
            assert!(file.has(mark), "{kind:?} lacks {mark}");
        }
        for key in
            ["/StructTreeRoot", "/Lang", "/DisplayDocTitle true", "/Outlines", "/OutputIntents", "/MarkInfo"]
        {
            assert!(file.has(key), "{kind:?} lacks {key}");
        }
        assert!(file.has("Engineering change record 2026-014: Coated slider"), "{kind:?}");
        assert_eq!(file.count("/Type/FontDescriptor"), file.count("/FontFile2 "), "{kind:?}");
    }
}

#[test]
fn a_drawing_is_said_in_words_and_drawn_as_lines() {
    let file = Written::of(&document(Kind::Record, every_block()));
    // Three in a table, one by itself.
    assert_eq!(file.count("/S/Figure"), 4);
    assert_eq!(file.count("/Alt(2.3 (1.1 to 4.2). Estimate and interval.)"), 4);
    assert!(!file.has("/Subtype/Image"), "a drawing became a picture of dots");
}

#[test]
fn a_table_of_three_hundred_rows_goes_over_sheets_and_has_one_head() {
    let file = Written::of(&document(Kind::Record, vec![table(300)]));
    assert!(file.sheets() > 5, "{} sheets", file.sheets());
    // The head is tagged once, however often it is drawn; a reader is told of each row once.
    assert_eq!((file.count("/S/TR"), file.count("/S/THead"), file.count("/S/TH/")), (301, 1, 3));
}

#[test]
fn a_summary_shrinks_before_it_becomes_two_sheets() {
    let words = |many: usize| vec![Block::paragraph("salt wears the slider ".repeat(many)), table(4)];
    let mut last = 0;
    // As much as a summary's texts come to at most.
    for many in [1, 60, 90, 120] {
        let file = Written::of(&document(Kind::Summary, words(many)));
        assert_eq!(file.sheets(), 1, "{many}");
        assert!(file.0.len() > last);
        last = file.0.len();
    }
}

#[test]
fn a_document_without_a_word_is_still_one_sheet() {
    let mut empty = document(Kind::Notice, Vec::new());
    empty.frame =
        documents::Frame { what: "Notice".into(), title: "None".into(), ..documents::Frame::default() };
    assert_eq!(Written::of(&empty).sheets(), 1);
}

#[test]
fn whatever_a_person_types_can_be_written() {
    let words = [
        "#import \"x\" *bold* _under_ $x^2$ \\n <label> @ref `raw` // comment /* */ = head",
        "Überlänge der Öse: weiß, größer; Łódź, Åse, Σύνολο, Проверка",
        "\u{1f9d7} \u{202e}right to left\u{0} \u{fffe} \u{e001} \u{f8ff}",
        &"x".repeat(5000),
        "",
        "\u{a0}\u{a0}\u{a0}",
    ];
    let rows = words.iter().map(|text| vec![Cell::code(*text), Cell::new(*text).small(Some((*text).into()))]);
    let columns = vec![Column::share(words[0], 1.0), Column::share(words[1], 2.0)];
    let mut body: Vec<Block> = words.iter().map(|text| Block::heading(*text)).collect();
    body.push(Block::Table { caption: Some(words[2].into()), columns, rows: rows.collect() });
    let mut whole = document(Kind::Record, body);
    whole.frame.title = words.join(" ");
    whole.frame.owner = words[3].into();
    assert!(pdf(&whole).unwrap().starts_with(b"%PDF-1.7"));
}
