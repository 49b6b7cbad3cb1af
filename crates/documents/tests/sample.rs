//! A record of an invented rescue service, long enough to fill sheets.

use chrono::{DateTime, Utc};
use documents::{Block, Caution, Cell, Chart, Column, Document, Frame, FrameWords, Kind, Paper};

/// The drawing of a page, as the program's charts are: classes for colours, its own title and words.
pub(crate) const CHART: &str = r#"<svg xmlns="http://www.w3.org/2000/svg" class="chart c-whisker" viewBox="0 0 168 22" width="168" height="22" role="img" aria-labelledby="w-title w-desc"><title id="w-title">2.3 (1.1 to 4.2)</title><desc id="w-desc">Estimate and interval.</desc><line class="c-range" x1="41.4" y1="11" x2="135.7" y2="11" stroke="currentColor"/><circle class="c-estimate" cx="77.9" cy="11" r="3.6" fill="currentColor"/><text class="c-tick" x="80" y="9" text-anchor="middle" fill="currentColor" font-size="11">2 ≤ 3</text></svg>"#;

pub(crate) fn moment() -> DateTime<Utc> {
    DateTime::from_timestamp(1_772_539_200, 0).expect("a moment")
}

pub(crate) fn frame() -> Frame {
    Frame {
        words: FrameWords::default(),
        what: "Engineering change record".into(),
        number: "2026-014".into(),
        title: "Coated slider for the front slide fastener".into(),
        revision: "1".into(),
        state: "submitted".into(),
        owner: "Oda Fell".into(),
        dates: vec![("Drafted".into(), "3 Mar 2026".into()), ("Figures of".into(), "3 Mar 2026".into())],
        note: None,
        top: Some("INTERNAL".into()),
        bottom: Some("INTERNAL".into()),
        distribution: Some(
            "DISTRIBUTION STATEMENT A. Approved for public release. Distribution is unlimited.".into(),
        ),
        designation: vec![("Controlled by".into(), "Equipment Office".into())],
        paper: Paper::A4,
    }
}

/// An empty document of a kind.
pub(crate) fn document(kind: Kind, body: Vec<Block>) -> Document {
    let ident = "change 2026-014".into();
    Document { kind, ident, at: moment(), language: "en".into(), frame: frame(), body }
}

/// A table of so many rows.
pub(crate) fn table(rows: usize) -> Block {
    let row = |at: usize| {
        vec![
            Cell::code(format!("TB-{at:04}")),
            Cell::new(format!("{at} items")),
            Cell::chart(Chart::new(CHART)),
        ]
    };
    Block::Table {
        caption: Some("Lots".into()),
        columns: vec![Column::content("Lot number"), Column::share("Items", 1.0), Column::content("Drawn")],
        rows: (1..=rows).map(row).collect(),
    }
}

/// One block of every kind.
pub(crate) fn every_block() -> Vec<Block> {
    let small = Cell::new("2,410 g").small(Some("weighed twice".into()));
    vec![
        Block::Lead { text: "The front slide fastener of the rescue carrier splits.".into() },
        Block::heading("Problem"),
        Block::paragraph("The chain splits on the ladder. Salt wears the slider."),
        Block::said("Evidence", "crosswise strength, ten specimens each"),
        Block::Heading { level: 2, text: "In numbers".into() },
        Block::Pairs {
            rows: vec![("Priority".into(), "urgent".into()), ("Cost".into(), "4 a piece".into())],
        },
        table(3),
        Block::Table {
            caption: None,
            columns: vec![Column::share("Size", 1.0), Column::number("Mass")],
            rows: vec![vec![Cell::strong("M"), small]],
        },
        Block::Chart { caption: "Failures per 1,000 item-years".into(), chart: Chart::new(CHART) },
        Block::Steps { steps: vec![("Look".into(), "at the label.".into()), ("Tag".into(), "it.".into())] },
        Block::small("Rates come from reports."),
        Block::Beside { left: vec![Block::paragraph("left")], right: vec![Block::paragraph("right")] },
        Block::Cautions {
            cautions: vec![
                Caution {
                    word: "Caution".into(),
                    harm: true,
                    words: "Take a damaged item out of use.".into(),
                },
                Caution {
                    word: "Note".into(),
                    harm: false,
                    words: "Few reports isn't proof of safety.".into(),
                },
            ],
        },
    ]
}
