//! How probable each suggested mode is, by Bayes' rule from what was sorted before and the words that were used.

use std::collections::BTreeSet;

use super::{Suggestion, find, words_of};

/// Chance that somebody who tells of one mode uses a given phrase of another mode's list. A judgement, not measured.
const STRAY: f64 = 0.01;

/// The probability of each suggestion, in their order; they add up to 1.
///
/// With n_m earlier reports sorted to mode m, and k_m phrases in its list, mode m has weight
/// (n_m + 1) · Π over the phrases found in the narrative of (1/k_m where it is on m's list, else 0.01): a unit is
/// taken to use each phrase of a mode's list equally often, independently of the others (naive Bayes with Laplace's
/// rule of succession; Manning, Raghavan, Schütze, Introduction to Information Retrieval, 2008, chapter 13).
/// That the true mode is among the suggestions is taken for granted, so a probability is too high where it isn't.
pub fn probabilities(
    narrative: &str,
    suggestions: &[Suggestion<'_>],
    sorted_before: impl Fn(&str) -> u64,
) -> Vec<f64> {
    let told = words_of(narrative);
    let phrases_of = |one: &Suggestion<'_>| -> BTreeSet<String> {
        let here = one.mode.field_words.iter().filter(|phrase| find(&told, &words_of(phrase)).is_some());
        here.map(|phrase| phrase.to_lowercase()).collect()
    };
    let found: Vec<BTreeSet<String>> = suggestions.iter().map(phrases_of).collect();
    let all: BTreeSet<&String> = found.iter().flatten().collect();
    let log_weights: Vec<f64> = suggestions
        .iter()
        .zip(&found)
        .map(|(one, own)| {
            let of_list = (one.mode.field_words.len().max(1) as f64).recip().ln();
            let strays = all.len() - own.len();
            (sorted_before(&one.mode.code) as f64).ln_1p()
                + own.len() as f64 * of_list
                + strays as f64 * STRAY.ln()
        })
        .collect();
    let top = log_weights.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let weights: Vec<f64> = log_weights.iter().map(|weight| (weight - top).exp()).collect();
    let sum: f64 = weights.iter().sum();
    weights.into_iter().map(|weight| weight / sum).collect()
}

#[cfg(test)]
mod tests {
    use super::super::suggest;
    use super::*;
    use crate::catalogue::Catalogue;

    #[test]
    fn probabilities_add_up_and_follow_what_was_sorted_before() {
        let narrative = "faded all over, then it tore";
        let found = suggest(narrative, Catalogue::shipped().modes_of("PNL"));
        assert_eq!(found.len(), 2, "{found:?}");
        let even = probabilities(narrative, &found, |_| 0);
        assert!((even.iter().sum::<f64>() - 1.0).abs() < 1e-12, "{even:?}");
        let second = found[1].mode.code.clone();
        let learned = probabilities(narrative, &found, |code| if code == second { 99 } else { 0 });
        assert!(learned[1] > even[1]);
        // Odds are multiplied by exactly the hundred of (99 + 1) / (0 + 1).
        let odds = |p: &[f64]| p[1] / p[0];
        assert!((odds(&learned) / odds(&even) - 100.0).abs() < 1e-9);
    }

    #[test]
    fn nothing_suggested_has_no_probability() {
        assert!(probabilities("nothing of the kind", &[], |_| 5).is_empty());
    }
}
