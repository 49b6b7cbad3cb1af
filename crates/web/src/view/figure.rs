//! A figure: never bare, and open to show how it was made.

use serde::Serialize;
use stats::Interval;

use crate::format;

/// A number with what it rests on.
#[derive(Clone, Debug, Serialize)]
pub struct Figure {
    pub(crate) lead: String,
    pub(crate) rest: String,
    sureness: Option<Sureness>,
    how: Option<How>,
}

/// How a figure was made.
#[derive(Clone, Debug, Serialize)]
pub struct How {
    /// The method in a sentence.
    pub method: String,
    /// Where the method is published.
    pub source: String,
    /// What went in.
    pub inputs: Vec<Input>,
}

/// One thing that went into a figure.
#[derive(Clone, Debug, Serialize)]
pub struct Input {
    /// What it is.
    pub name: String,
    /// How much, in words.
    pub value: String,
    /// Where its records can be seen.
    pub address: Option<String>,
}

/// The fixed words for how sure a comparison is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub enum Sureness {
    /// The data show it.
    #[serde(rename = "shown")]
    Shown,
    /// The data would show it and don't.
    #[serde(rename = "not shown")]
    NotShown,
    /// There is too little data to tell.
    #[serde(rename = "too early")]
    TooEarly,
}

impl Sureness {
    /// The word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Shown => "shown",
            Self::NotShown => "not shown",
            Self::TooEarly => "too early",
        }
    }
}

impl Figure {
    /// A rate per 1,000 item-years.
    pub fn rate(rate_per_1000: f64, ends: Interval, reports: u64, item_years: f64) -> Self {
        let whole = format::rate(rate_per_1000, ends, reports, item_years);
        let (lead, rest) = whole.split_once(' ').unwrap_or((&whole, ""));
        Self::new(lead, rest)
    }

    /// Any other figure: the number that leads, and the words that go with it.
    pub fn new(lead: impl Into<String>, rest: impl Into<String>) -> Self {
        Self { lead: lead.into(), rest: rest.into(), sureness: None, how: None }
    }

    /// Opens to show how it was made.
    pub fn made_by(mut self, how: How) -> Self {
        self.how = Some(how);
        self
    }

    /// Says how sure it is.
    pub fn sure(mut self, sureness: Sureness) -> Self {
        self.sureness = Some(sureness);
        self
    }
}
