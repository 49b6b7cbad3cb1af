//! Narratives cut into words, and pieces of narratives marked.

use std::ops::Range;

/// A word in small letters and where it stands.
pub(super) struct Word {
    /// Its letters, small, without apostrophes.
    pub(super) small: String,
    /// Where it stands, in bytes.
    pub(super) at: Range<usize>,
}

/// The words of a text; an apostrophe within a word doesn't end it, as people leave it out half the time.
pub(super) fn words_of(text: &str) -> Vec<Word> {
    let mut words: Vec<Word> = Vec::new();
    let mut open = false;
    for (at, letter) in text.char_indices() {
        if matches!(letter, '\'' | '\u{2019}') {
            continue;
        }
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

    #[test]
    fn words_are_small_and_know_where_they_stand() {
        let told: Vec<(String, Range<usize>)> =
            words_of("It's WET, café").into_iter().map(|word| (word.small, word.at)).collect();
        assert_eq!(told, [("its".into(), 0..4), ("wet".into(), 5..8), ("café".into(), 10..15)]);
    }

    #[test]
    fn marked_pieces_make_up_the_narrative() {
        let narrative = "Café door: zipper split twice";
        let pieces = marked(narrative, std::slice::from_ref(&(12..24)));
        assert_eq!(pieces, [("Café door: ", false), ("zipper split", true), (" twice", false)]);
    }

    #[test]
    fn ranges_that_overlap_are_marked_once_and_ranges_beyond_the_text_never() {
        assert_eq!(marked("abcdef", &[0..3, 2..4]), [("abcd", true), ("ef", false)]);
        assert_eq!(marked("ab", std::slice::from_ref(&(1..9))), [("ab", false)]);
        assert_eq!(marked("é", std::slice::from_ref(&(1..2))), [("é", false)], "never within a letter");
    }
}
