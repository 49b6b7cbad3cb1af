//! Words without their endings, so that `splits`, `splitting` and `split` count as one.

/// Endings, longest first; what is left has at least [`SHORTEST`] letters.
const ENDINGS: [&str; 13] =
    ["ingly", "edly", "ings", "ing", "ied", "ies", "ed", "es", "ly", "s", "er", "y", "e"];
const SHORTEST: usize = 3;

/// The word without its ending, and without the letter doubled before it.
///
/// A short list of English inflections in the manner of Porter's first step ("An algorithm for suffix stripping",
/// Program 14(3), 1980); it need not be right, only the same for forms of one word.
pub(super) fn stem(word: &str) -> &str {
    let long_enough = |rest: &&str| rest.chars().count() >= SHORTEST;
    let Some(rest) = ENDINGS.iter().find_map(|ending| word.strip_suffix(ending).filter(long_enough)) else {
        return word;
    };
    let mut letters = rest.chars().rev();
    match (letters.next(), letters.next()) {
        (Some(last), Some(before))
            if last == before && rest.chars().count() > SHORTEST && !matches!(last, 'l' | 's' | 'z') =>
        {
            &rest[..rest.len() - last.len_utf8()]
        }
        _ => rest,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn forms_of_one_word_have_one_stem() {
        for forms in
            [["split", "splits", "splitting"], ["tear", "tears", "tearing"], ["strap", "straps", "strapped"]]
        {
            assert!(forms.iter().all(|form| stem(form) == stem(forms[0])), "{forms:?}");
        }
        assert_eq!((stem("zip"), stem("is"), stem("ééé")), ("zip", "is", "ééé"));
    }
}
