//! Suggestions for sorting: modes whose words for units stand in a narrative, and where they stand.
//!
//! Plain matching of the catalogue's words: a suggestion says which words led to it. How probable it is, given what
//! was sorted before, is [`probabilities`]'s; earlier reports told in like words are [`alike`]'s.

mod alike;
mod probable;

pub use alike::alike;
pub use probable::probabilities;

use std::ops::Range;

use crate::catalogue::Mode;

/// A mode with the words that led to it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Suggestion<'a> {
    /// The mode.
    pub mode: &'a Mode,
    /// Where in the narrative, in bytes, in order and without overlap.
    pub words: Vec<Range<usize>>,
}

/// Modes whose field words stand in a narrative, most letters matched first, then in the order given.
///
/// A phrase matches in any case, with any white space and punctuation between its words, at the beginning of words:
/// `split` is found in `splits`, not in `unsplit`.
pub fn suggest<'a>(narrative: &str, modes: impl IntoIterator<Item = &'a Mode>) -> Vec<Suggestion<'a>> {
    let told = words_of(narrative);
    let mut found: Vec<Suggestion<'a>> = modes
        .into_iter()
        .filter_map(|mode| {
            let phrases = mode.field_words.iter().map(|phrase| words_of(phrase));
            let ranges: Vec<Range<usize>> = phrases.filter_map(|phrase| find(&told, &phrase)).collect();
            (!ranges.is_empty()).then(|| Suggestion { mode, words: joined(ranges) })
        })
        .collect();
    found.sort_by_key(|one| std::cmp::Reverse(one.words.iter().map(ExactSizeIterator::len).sum::<usize>()));
    found
}

/// A narrative cut into pieces, each with whether it is one of the marked ranges.
pub fn marked<'a>(narrative: &'a str, ranges: &[Range<usize>]) -> Vec<(&'a str, bool)> {
    let mut pieces = Vec::new();
    let mut from = 0;
    for range in joined(ranges.to_vec()) {
        if let (Some(plain), Some(word)) = (narrative.get(from..range.start), narrative.get(range.clone())) {
            pieces.extend([(plain, false), (word, true)]);
            from = range.end;
        }
    }
    pieces.extend(narrative.get(from..).map(|rest| (rest, false)));
    pieces.retain(|(text, _)| !text.is_empty());
    pieces
}

/// A word in small letters and where it stands.
struct Word {
    small: String,
    at: Range<usize>,
}

fn words_of(text: &str) -> Vec<Word> {
    let mut words: Vec<Word> = Vec::new();
    let mut open = false;
    for (at, letter) in text.char_indices() {
        if !letter.is_alphanumeric() {
            open = false;
            continue;
        }
        if !open {
            words.push(Word { small: String::new(), at: at..at });
            open = true;
        }
        if let Some(word) = words.last_mut() {
            word.small.extend(letter.to_lowercase());
            word.at.end = at + letter.len_utf8();
        }
    }
    words
}

/// The first place where a phrase stands; each of its words may be longer in the narrative.
fn find(told: &[Word], phrase: &[Word]) -> Option<Range<usize>> {
    let last = phrase.len().checked_sub(1)?;
    let begins = |pair: (&Word, &Word)| pair.0.small.starts_with(&pair.1.small);
    let place = told.windows(phrase.len()).find(|window| window.iter().zip(phrase).all(begins))?;
    Some(place[0].at.start..place[last].at.end)
}

/// Ranges in order, those that touch or overlap made one.
fn joined(mut ranges: Vec<Range<usize>>) -> Vec<Range<usize>> {
    ranges.sort_by_key(|range| (range.start, range.end));
    let mut out: Vec<Range<usize>> = Vec::with_capacity(ranges.len());
    for range in ranges {
        match out.last_mut() {
            Some(last) if range.start <= last.end => last.end = last.end.max(range.end),
            _ => out.push(range),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::Catalogue;

    fn codes(narrative: &str) -> Vec<String> {
        let found = suggest(narrative, Catalogue::shipped().modes_of("ZIP"));
        found.iter().map(|one| one.mode.code.clone()).collect()
    }

    #[test]
    fn words_of_the_catalogue_lead_to_the_mode_in_any_case_and_ending() {
        assert_eq!(codes("The ZIPPER,  splits behind the slider").first().map(String::as_str), Some("ZIP-1"));
        assert!(codes("nothing of the kind").is_empty());
        assert!(codes("").is_empty());
    }

    #[test]
    fn the_words_that_led_to_it_are_marked_in_the_narrative() {
        let narrative = "Café door: zipper split twice";
        let found = suggest(narrative, Catalogue::shipped().modes_of("ZIP"));
        let pieces = marked(narrative, &found[0].words);
        assert_eq!(pieces, [("Café door: ", false), ("zipper split", true), (" twice", false)]);
        let whole: String = pieces.iter().map(|piece| piece.0).collect();
        assert_eq!(whole, narrative);
    }

    #[test]
    fn ranges_that_overlap_are_marked_once_and_ranges_beyond_the_text_never() {
        assert_eq!(marked("abcdef", &[0..3, 2..4]), [("abcd", true), ("ef", false)]);
        assert_eq!(marked("ab", std::slice::from_ref(&(1..9))), [("ab", false)]);
        assert_eq!(marked("é", std::slice::from_ref(&(1..2))), [("é", false)], "never within a letter");
    }
}
