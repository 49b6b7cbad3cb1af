//! The letter of the next revision of a part.

/// Letters not used for revisions, since they are taken for digits or other letters (drawing practice as in
/// ASME Y14.35, from memory).
const UNUSED: [char; 6] = ['I', 'O', 'Q', 'S', 'X', 'Z'];

/// The revision after this one: `A` to `B`, `H` to `J`, `Y` to `AA`. Anything that isn't such a letter gets the
/// next free number behind it (`3` to `4`, `B2` to `B3`, `draft` to `draft2`).
pub fn next_revision(revision: &str) -> String {
    let letters: Vec<char> = revision.chars().collect();
    if !letters.is_empty() && letters.iter().all(char::is_ascii_uppercase) {
        return next_letters(letters);
    }
    let digits = revision.chars().rev().take_while(char::is_ascii_digit).count();
    let (head, tail) = revision.split_at(revision.len() - digits);
    let number: u64 = tail.parse().unwrap_or(1);
    format!("{head}{}", number + 1)
}

fn next_letters(mut letters: Vec<char>) -> String {
    let used: Vec<char> = ('A'..='Z').filter(|c| !UNUSED.contains(c)).collect();
    for at in (0..letters.len()).rev() {
        if let Some(next) = used.iter().find(|c| **c > letters[at]) {
            letters[at] = *next;
            return letters.into_iter().collect();
        }
        letters[at] = 'A';
    }
    letters.push('A');
    letters.into_iter().collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_that_look_like_digits_are_skipped() {
        let next = ["A", "H", "N", "P", "R", "W", "Y", "AY"].map(next_revision);
        assert_eq!(next, ["B", "J", "P", "R", "T", "Y", "AA", "BA"]);
    }

    #[test]
    fn other_styles_count_on() {
        assert_eq!(["3", "B2", "draft", ""].map(next_revision), ["4", "B3", "draft2", "2"]);
    }
}
