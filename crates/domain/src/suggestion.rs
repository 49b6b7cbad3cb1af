//! Suggestions for sorting: how probable each mode is by a narrative, and which of its words say so.
//!
//! [`Learned`] is a linear model that learns from the catalogue, from invented [`starters`] and from what people
//! confirmed. Earlier reports told in like words are [`alike`]'s.

mod alike;
mod boilerplate;
mod calibration;
mod contained;
mod examples;
mod function_words;
mod learned;
mod linear;
mod stem;
mod unnamed;
mod vocabulary;
mod words;

pub use alike::alike;
pub use contained::{Contained, is_everywhere};
pub use examples::{Example, starters};
pub use learned::{Basis, Learned, Suggestion};
pub use unnamed::{Unnamed, Unsorted, unnamed};
pub use words::marked;

/// The words of a text without their endings.
pub(crate) fn stems_of(text: &str) -> impl Iterator<Item = String> {
    words::words_of(text).into_iter().map(|word| stem::stem(&word.small).to_owned())
}
