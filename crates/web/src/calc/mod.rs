//! The statistical methods by name: each takes one JSON object and gives one, so that anybody can check a figure.
//!
//! A family of methods is a file: what goes in as a struct, what comes out as an [`Answer`], and a table of [`Method`]s.
//! Nothing is computed here; `stats` does that.

mod answer;
mod benches;
mod changes;
mod draws;
mod fits;
mod forecasts;
mod input;
mod key_words;
mod labels;
mod lines;
mod lives;
mod masses;
mod options;
mod rates;
mod repairs;
mod reports;
mod say;
mod shares;
mod survivals;
mod tables;
mod watch;
mod words;

#[cfg(test)]
mod reference_tests;
#[cfg(test)]
mod tests;

pub use answer::Answer;
pub(crate) use draws::Draws;
pub use input::CalcError;
pub use lines::{Tally, calculate_lines};
pub use options::read_options;
pub use say::in_words;

use serde_json::Value;

/// One method.
pub struct Method {
    /// The name it is asked for by.
    pub name: &'static str,
    /// What it answers, in one sentence.
    pub says: &'static str,
    /// An input that works, as a line of JSON.
    pub example: &'static str,
    /// From an input object to its answer.
    run: fn(&Value) -> Result<Answer, CalcError>,
}

const FAMILIES: [&[Method]; 14] = [
    &rates::METHODS,
    &shares::METHODS,
    &lives::METHODS,
    &survivals::METHODS,
    &repairs::METHODS,
    &forecasts::METHODS,
    &tables::METHODS,
    &watch::METHODS,
    &reports::METHODS,
    &benches::METHODS,
    &masses::METHODS,
    &fits::METHODS,
    &labels::METHODS,
    &changes::METHODS,
];

impl Method {
    /// The answer to an input. A fault of the program costs this one answer, not those asked for after it.
    pub fn answer(&self, input: &Value) -> Result<Answer, CalcError> {
        std::panic::catch_unwind(|| (self.run)(input)).unwrap_or(Err(CalcError::Fault))
    }
}

/// All methods, in the order of a list.
pub fn methods() -> impl Iterator<Item = &'static Method> {
    FAMILIES.into_iter().flatten()
}

/// The method of this name.
pub fn method(name: &str) -> Option<&'static Method> {
    methods().find(|method| method.name == name)
}
