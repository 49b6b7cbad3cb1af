//! What a document is made of, from the top of its first sheet to the end of its last.

use serde::Serialize;

use crate::chart::Chart;

/// One block.
#[derive(Clone, Debug, Serialize)]
#[serde(tag = "is", rename_all = "snake_case")]
pub enum Block {
    /// A heading, which is also a bookmark; level 1 or 2.
    Heading {
        /// Its level.
        level: u8,
        /// Its words.
        text: String,
    },
    /// The sentence that says it all.
    Lead {
        /// Its words.
        text: String,
    },
    /// A paragraph, with a word before it in bold where it has one.
    Paragraph {
        /// The word before it.
        word: Option<String>,
        /// Its words.
        text: String,
    },
    /// A remark in small letters.
    Small {
        /// Its words.
        text: String,
    },
    /// Words and what stands behind each.
    Pairs {
        /// The pairs.
        rows: Vec<(String, String)>,
    },
    /// A table whose head is repeated on each sheet.
    Table {
        /// What it shows.
        caption: Option<String>,
        /// Its columns.
        columns: Vec<Column>,
        /// Its rows; each as long as the columns.
        rows: Vec<Vec<Cell>>,
    },
    /// A chart over the whole width.
    Chart {
        /// What it shows.
        caption: String,
        /// The drawing.
        chart: Chart,
    },
    /// What to do, step by step: a word in bold and the rest.
    Steps {
        /// The steps.
        steps: Vec<(String, String)>,
    },
    /// Cautions, together on one sheet.
    Cautions {
        /// The cautions.
        cautions: Vec<Caution>,
    },
    /// Two columns.
    Beside {
        /// The left one.
        left: Vec<Block>,
        /// The right one.
        right: Vec<Block>,
    },
}

/// One caution.
#[derive(Clone, Debug, Serialize)]
pub struct Caution {
    /// What stands before it, in the language of the document: `Caution`.
    pub word: String,
    /// Whether somebody can get hurt.
    pub harm: bool,
    /// Its words.
    pub words: String,
}

/// A column of a table.
#[derive(Clone, Debug, Serialize)]
pub struct Column {
    /// Its head.
    pub head: String,
    /// Where its cells' words stand.
    pub align: Align,
    /// How wide it is.
    pub width: Width,
}

/// Where words stand in a cell.
#[derive(Clone, Copy, Debug, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Align {
    /// At the left.
    Left,
    /// At the right, for numbers.
    Right,
}

/// How wide a column is.
#[derive(Clone, Copy, Debug, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Width {
    /// As its longest word wants; for short words only.
    Content,
    /// A share of what is left.
    Share(f64),
}

/// A cell of a table.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Cell {
    /// Its words.
    pub text: String,
    /// Whether they stand out.
    pub strong: bool,
    /// Whether they are a number of a lot, a part or a requirement.
    pub code: bool,
    /// A remark below, in small letters.
    pub small: Option<String>,
    /// A drawing below.
    pub chart: Option<Chart>,
}

impl Column {
    /// A column as wide as its words.
    pub fn content(head: impl Into<String>) -> Self {
        Self { head: head.into(), align: Align::Left, width: Width::Content }
    }

    /// The same for numbers.
    pub fn number(head: &str) -> Self {
        Self { align: Align::Right, ..Self::content(head) }
    }

    /// A column that takes a share of what is left.
    pub fn share(head: impl Into<String>, share: f64) -> Self {
        Self { width: Width::Share(share), ..Self::content(head) }
    }
}

impl Cell {
    /// Plain words.
    pub fn new(text: impl Into<String>) -> Self {
        Self { text: text.into(), ..Self::default() }
    }

    /// Words that stand out.
    pub fn strong(text: impl Into<String>) -> Self {
        Self { strong: true, ..Self::new(text) }
    }

    /// The number of a thing.
    pub fn code(text: impl Into<String>) -> Self {
        Self { code: true, ..Self::new(text) }
    }

    /// A drawing alone.
    pub fn chart(chart: Chart) -> Self {
        Self { chart: Some(chart), ..Self::default() }
    }

    /// With a remark below.
    pub fn small(self, text: Option<String>) -> Self {
        Self { small: text, ..self }
    }
}

impl Block {
    /// A heading of a section.
    pub fn heading(text: impl Into<String>) -> Self {
        Self::Heading { level: 1, text: text.into() }
    }

    /// A plain paragraph.
    pub fn paragraph(text: impl Into<String>) -> Self {
        Self::Paragraph { word: None, text: text.into() }
    }

    /// A paragraph behind a word.
    pub fn said(word: impl Into<String>, text: impl Into<String>) -> Self {
        Self::Paragraph { word: Some(word.into()), text: text.into() }
    }

    /// A remark in small letters.
    pub fn small(text: impl Into<String>) -> Self {
        Self::Small { text: text.into() }
    }
}
