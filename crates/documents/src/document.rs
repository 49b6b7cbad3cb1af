//! A document: what its frame says, and its blocks.

use chrono::{DateTime, Utc};
use serde::Serialize;

use crate::block::Block;

/// Which template lays a document out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Numbered sections over as many sheets as they take.
    Record,
    /// One dense sheet.
    Summary,
    /// A notice that asks for something, in larger words.
    Notice,
}

impl Kind {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Record, Self::Summary, Self::Notice];

    /// Its template, in `templates/documents/`.
    pub(crate) const fn template(self) -> &'static str {
        match self {
            Self::Record => "record.typ",
            Self::Summary => "summary.typ",
            Self::Notice => "notice.typ",
        }
    }
}

/// The size of a sheet.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
pub enum Paper {
    /// 210 by 297 mm.
    #[default]
    #[serde(rename = "a4")]
    A4,
    /// 8.5 by 11 in.
    #[serde(rename = "us-letter")]
    Letter,
}

/// The words that the frame itself says, in the language of the document.
#[derive(Clone, Debug, Serialize)]
pub struct FrameWords {
    /// Before the title.
    pub title: String,
    /// Before the number.
    pub number: String,
    /// Before the count of sheets.
    pub sheet: String,
    /// Between a sheet and how many there are: `of`.
    pub of: String,
    /// Before the state.
    pub state: String,
    /// Before the revision.
    pub revision: String,
    /// Before the owner.
    pub owner: String,
    /// Before the marking.
    pub marking: String,
    /// In the place of a marking, where there is none.
    pub unmarked: String,
}

impl Default for FrameWords {
    fn default() -> Self {
        Self {
            title: "Title".into(),
            number: "Number".into(),
            sheet: "Sheet".into(),
            of: "of".into(),
            state: "State".into(),
            revision: "Revision".into(),
            owner: "Owner".into(),
            marking: "Marking".into(),
            unmarked: "none".into(),
        }
    }
}

/// What stands around the blocks: the title block, the markings, the statement of who may have it.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Frame {
    /// What the frame's own fields are called.
    pub words: FrameWords,
    /// What kind of paper it is, in words: `Engineering change record`.
    pub what: String,
    /// Its number.
    pub number: String,
    /// Its title.
    pub title: String,
    /// The record's revision.
    pub revision: String,
    /// Where the record stands.
    pub state: String,
    /// Who answers for it.
    pub owner: String,
    /// Dates with their words.
    pub dates: Vec<(String, String)>,
    /// Said beside the kind on every page, such as that it is a draft.
    pub note: Option<String>,
    /// Marking at the top of every page.
    pub top: Option<String>,
    /// Marking at the bottom of every page.
    pub bottom: Option<String>,
    /// The distribution statement, in full, for the first page.
    pub distribution: Option<String>,
    /// Who controls the document: words and what stands behind them.
    pub designation: Vec<(String, String)>,
    /// The size of a sheet.
    pub paper: Paper,
}

/// A document to be written.
#[derive(Clone, Debug, Serialize)]
pub struct Document {
    /// Which template lays it out.
    #[serde(skip)]
    pub kind: Kind,
    /// What identifies it for good; hashed into the file.
    #[serde(skip)]
    pub ident: String,
    /// When what it says was read; the file's date, so that the same values give the same file.
    #[serde(skip)]
    pub at: DateTime<Utc>,
    /// The language of its words, by its code (ISO 639-1): readers' aids speak it so.
    pub language: String,
    /// What stands around the blocks.
    pub frame: Frame,
    /// What it says.
    pub body: Vec<Block>,
}
