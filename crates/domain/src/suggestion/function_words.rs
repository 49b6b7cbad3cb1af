//! Function words: those that hold a sentence together and say nothing of what failed.

use std::collections::HashSet;
use std::sync::OnceLock;

/// Words shorter than this say too little in any language.
const SHORTEST: usize = 3;

// Lists of our own, of three letters and more, and as narratives are cut into words: small, without apostrophes. Words
// that say how a part failed aren't among them (`off`, `through`, `not`; `auf`, `nicht`; `pas`), nor those that name a thing
// in another of the three languages (`hat`, `car`, `pour`).
const ENGLISH: &str = "about after again all also and any are because been before being both but can could \
    did does doing each for from had has have having her here hers him his how into its just may might \
    more most only other our ours own same she should some such than that thats the their theirs them then \
    there these they this those too very was were what when where which while who whom whose why will with \
    would you your yours";
const GERMAN: &str = "aber alle als auch beim bis das dass dem den der des die dies diese diesem diesen \
    dieser dieses doch ein eine einem einen einer eines für haben hatte hatten ich ihm ihn ihr ihre ihren \
    ins ist jetzt kann man mein meine mich mir mit nach noch nur oder schon sehr sein seine sich sie sind \
    und uns unser unsere vom von vor war waren was weil wenn wer werden wie wir wird wurde wurden zum zur";
const FRENCH: &str = "aux avec ceci cela ces cest cet cette dans des donc dont elle elles est eux fait ils \
    jai les leur leurs lors lui mais mes mon même nos notre nous ont par pendant quand que qui quil ses \
    son sont sur tes très une vos votre vous étaient était été";

/// Whether a word may say something of a failure: one of three letters or more that is no function word.
pub(super) fn tells(word: &str) -> bool {
    static FUNCTION_WORDS: OnceLock<HashSet<&str>> = OnceLock::new();
    let function_words = FUNCTION_WORDS
        .get_or_init(|| [ENGLISH, GERMAN, FRENCH].into_iter().flat_map(str::split_whitespace).collect());
    word.chars().count() >= SHORTEST && !function_words.contains(word)
}

#[cfg(test)]
mod tests {
    use super::super::words::words_of;
    use super::*;

    #[test]
    fn of_a_sentence_in_each_language_the_telling_words_are_left() {
        for (sentence, left) in [
            ("The strap isn't through the buckle, it has come off on the left", 7),
            ("Der Gurt ist nicht mehr auf der Schnalle und war am Rand", 6),
            ("La sangle n'est pas dans la boucle et les coutures ont été arrachées", 6),
        ] {
            let words = words_of(sentence);
            let telling: Vec<&str> =
                words.iter().map(|word| word.small.as_str()).filter(|word| tells(word)).collect();
            assert_eq!(telling.len(), left, "{telling:?}");
        }
    }

    #[test]
    fn what_is_looked_up_is_written_as_words_are_cut() {
        for word in [ENGLISH, GERMAN, FRENCH].into_iter().flat_map(str::split_whitespace) {
            let cut: Vec<String> = words_of(word).into_iter().map(|word| word.small).collect();
            assert_eq!(cut, [word]);
            assert!(word.chars().count() >= SHORTEST, "{word} is left out by its length");
        }
    }
}
