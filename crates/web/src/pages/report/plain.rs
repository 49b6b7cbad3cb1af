//! The words of fixed lists as a unit says them.

use std::fmt::Display;

use crate::tongue::Tongue;
use crate::view::Choice;

/// A choice for each value of a list; `chosen` is the word the form held.
pub fn choices<T: Display>(tongue: Tongue, list: &str, all: &[T], chosen: &str) -> Vec<Choice> {
    let choice = |value: &T| {
        let word = value.to_string();
        let is_chosen = word == chosen;
        let label = tongue.word(list, &word);
        Choice::new(word, label, is_chosen)
    };
    all.iter().map(choice).collect()
}
