//! What a record page carries like an engineering drawing: a title block and a table of revisions.

use serde::Serialize;

/// The title block at a sheet's lower right.
#[derive(Clone, Debug, Serialize)]
pub struct TitleBlock {
    /// Sheet number by year: `2026-014`.
    pub number: String,
    /// What the sheet is about.
    pub title: String,
    /// Revision of the record: `A`, or a count of edits.
    pub revision: String,
    /// The state's word.
    pub state: String,
    /// Whose it is.
    pub owner: String,
    /// Dates with their words: `opened`, `3 Mar 2026`.
    pub dates: Vec<(String, String)>,
    /// `1 of 1`.
    pub sheet: String,
}

impl TitleBlock {
    /// A recurrence's, for samples.
    pub fn sample() -> Self {
        Self {
            number: "2026-014".into(),
            title: "Cable tube, pulled out at the shoulder".into(),
            revision: "C".into(),
            state: "taken up".into(),
            owner: "Oda Fell".into(),
            dates: vec![("Opened".into(), "3 Mar 2026".into()), ("Changed".into(), "12 Nov 2026".into())],
            sheet: "1 of 1".into(),
        }
    }
}

/// A remark, an enclosure or a revision note, as a row of the sheet's revision table.
#[derive(Clone, Debug, Serialize)]
pub struct Revision {
    /// Its letter or number.
    pub mark: String,
    /// What it says.
    pub what: String,
    /// By whom.
    pub by: String,
    /// When.
    pub date: String,
}
