//! What a document says of who may have it: markings at its edges, a distribution statement, a designation block.
//!
//! Bartack holds no marked data by itself, so the default is to say nothing. The statements and the reasons that each
//! letter takes stand in files that name their edition; their 2012 wording is the one whose every letter is published
//! in full.

mod parse;

use chrono::NaiveDate;

use crate::words::words;

const STATEMENTS: &str = include_str!("../data/distribution-statements.csv");
const REASONS: &str = include_str!("../data/distribution-reasons.csv");

words! {
    /// Who a document may be given to, from everybody to whom the office names.
    pub enum Letter {
        /// Everybody.
        A = "A",
        /// Agencies of the government.
        B = "B",
        /// ... and their contractors.
        C = "C",
        /// The department and its contractors.
        D = "D",
        /// The department's components.
        E = "E",
        /// As the office directs.
        F = "F",
    }
}

impl Letter {
    /// Whether it names a reason.
    pub const fn wants_reason(self) -> bool {
        matches!(self, Self::B | Self::C | Self::D | Self::E)
    }

    /// Whether it names the day of determination and the office; all but public release do.
    pub const fn wants_office(self) -> bool {
        !matches!(self, Self::A)
    }
}

/// Words at the edges of every page.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Marking {
    /// At the top.
    pub top: Option<String>,
    /// At the bottom.
    pub bottom: Option<String>,
}

/// A distribution statement, complete.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Distribution {
    letter: Letter,
    reason: Option<&'static str>,
    determined: Option<NaiveDate>,
    office: Option<String>,
}

/// Who controls a document and who can be asked about it, for the first page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Designation {
    /// The office that controls it.
    pub controlled_by: String,
    /// The category of what it holds.
    pub category: String,
    /// A limit on passing it on; a document with a distribution statement has that in its place.
    pub limited: Option<String>,
    /// A person with a telephone number, or an office's mailbox.
    pub contact: String,
}

/// What every document of an installation says of who may have it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Control {
    /// At the edges of pages.
    pub marking: Marking,
    /// In full on the first page.
    pub distribution: Option<Distribution>,
    /// In a block on the first page.
    pub designation: Option<Designation>,
}

/// Why a setting is no marking, statement or block.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum DistributionError {
    /// No letter that there is a statement for.
    #[error("a letter from A to F comes first, then fields such as `; reason=Test and Evaluation`")]
    Letter,
    /// A field nobody knows, or one written twice.
    #[error("`{0}` is no field here, or stands there twice")]
    Field(String),
    /// A field that is wanted.
    #[error("`{0}=` is wanted here")]
    Wanted(&'static str),
    /// A field that this letter doesn't take.
    #[error("statement {letter} takes no `{field}`")]
    NotTaken {
        /// The letter.
        letter: Letter,
        /// The field.
        field: &'static str,
    },
    /// A reason that is on no list, or not with this letter.
    #[error("statement {letter} takes one of these reasons: {accepted}")]
    Reason {
        /// The letter.
        letter: Letter,
        /// What it takes.
        accepted: String,
    },
    /// No date.
    #[error("the day of determination is written like 2026-03-03")]
    Day,
    /// Both a statement and a limit.
    #[error("a document has a distribution statement or a limit on passing it on, never both")]
    Both,
}

impl Distribution {
    /// The statement's letter.
    pub const fn letter(&self) -> Letter {
        self.letter
    }

    /// The edition whose words it uses.
    pub fn edition(&self) -> &'static str {
        row(self.letter).0
    }

    /// The whole statement, as it stands on the first page.
    pub fn statement(&self) -> String {
        let day = self.determined.map(|day| day.format("%-d %B %Y").to_string());
        row(self.letter)
            .1
            .replace("{reason}", self.reason.unwrap_or_default())
            .replace("{determined}", day.as_deref().unwrap_or_default())
            .replace("{office}", self.office.as_deref().unwrap_or_default())
    }
}

/// The reasons that go with a letter.
pub fn reasons(letter: Letter) -> impl Iterator<Item = &'static str> {
    let with =
        move |[_, reason, letters]: [&'static str; 3]| letters.contains(letter.word()).then_some(reason);
    rows(REASONS).filter_map(with)
}

/// Edition and words of a letter.
fn row(letter: Letter) -> (&'static str, &'static str) {
    let mut all = rows(STATEMENTS);
    let own = all.find(|[_, of, _]| *of == letter.word());
    own.map_or(("", ""), |[edition, _, words]| (edition, words))
}

/// Rows of a file of three columns whose last may hold commas.
fn rows(file: &'static str) -> impl Iterator<Item = [&'static str; 3]> {
    file.lines().skip(1).filter_map(|line| {
        let mut cells = line.splitn(3, ',');
        Some([cells.next()?, cells.next()?, cells.next()?])
    })
}

#[cfg(test)]
mod tests;
