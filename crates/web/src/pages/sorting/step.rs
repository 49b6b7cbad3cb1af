//! What is done with a report in words: set aside, ask its unit, answer its unit.

use std::str::FromStr;

use domain::words::Problem;
use serde::Deserialize;

/// Longest text that is kept, in characters.
const LONGEST: usize = 4000;

/// One of the three, by the last word of its address and the name of its field.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Step {
    /// It is no failure report, or a double.
    Aside,
    /// A question to the unit.
    Ask,
    /// The answer to the unit.
    Answer,
}

impl Step {
    /// The name of its field.
    pub(super) const fn field(self) -> &'static str {
        match self {
            Self::Aside => "aside",
            Self::Ask => "ask",
            Self::Answer => "answer",
        }
    }
}

impl FromStr for Step {
    type Err = ();

    fn from_str(word: &str) -> Result<Self, ()> {
        [Self::Aside, Self::Ask, Self::Answer].into_iter().find(|step| step.field() == word).ok_or(())
    }
}

/// What was written in the three forms; each sends its own.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct Words {
    aside: String,
    ask: String,
    answer: String,
    /// The latest decision in the journal that the sheet showed.
    pub(super) shown: i64,
}

impl Words {
    /// What was written for a step, as it was typed.
    pub(super) fn typed(&self, step: Step) -> &str {
        match step {
            Step::Aside => &self.aside,
            Step::Ask => &self.ask,
            Step::Answer => &self.answer,
        }
    }

    /// What was written for a step, if it is neither nothing nor a book.
    ///
    /// # Errors
    /// What is wrong, beside its field.
    pub(super) fn written(&self, step: Step) -> Result<&str, Problem> {
        let text = self.typed(step).trim();
        if text.is_empty() || text.chars().count() > LONGEST {
            return Err(Problem::new(step.field(), "Write one to 4,000 letters. Nothing was changed."));
        }
        Ok(text)
    }
}
