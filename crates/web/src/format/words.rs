//! Words as they begin a sentence, and reasons as whole sentences.

/// Words with a capital letter first: `side cable tube` to `Side cable tube`.
pub fn titled(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// A reason as a sentence of its own: `no part has this number` to `No part has this number.`
pub fn sentence(reason: &str) -> String {
    format!("{}.", titled(reason.trim_end_matches('.')))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_reason_becomes_a_sentence_with_one_stop() {
        assert_eq!(sentence("no such lot"), "No such lot.");
        assert_eq!(sentence("Not kept."), "Not kept.");
        assert_eq!((titled("öse"), titled("")), ("Öse".to_owned(), String::new()));
    }
}
