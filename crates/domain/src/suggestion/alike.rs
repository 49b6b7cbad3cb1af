//! Earlier reports told in like words.

use std::collections::{BTreeSet, HashMap};

use super::words::words_of;

/// Words shorter than this tell nothing apart.
const SHORTEST: usize = 3;

/// Which of the earlier narratives are told in words like this one's, most alike first, by their index.
///
/// Two narratives are alike by Σ of the weights of the words they share over Σ of the weights of all their words
/// (the weighted Jaccard index), where a word in d of N narratives weighs ln((N + 1) / (d + 1)) + 1 (the smoothed
/// inverse document frequency). Those below `least` are left out.
pub fn alike(narrative: &str, earlier: &[&str], least: f64, most: usize) -> Vec<usize> {
    let told = distinct(narrative);
    let others: Vec<BTreeSet<String>> = earlier.iter().map(|text| distinct(text)).collect();
    let mut counts: HashMap<&str, usize> = HashMap::new();
    for word in others.iter().flatten() {
        *counts.entry(word).or_default() += 1;
    }
    let whole = others.len() as f64 + 1.0;
    let weight = |word: &String| {
        let seen = counts.get(word.as_str()).copied().unwrap_or_default() as f64 + 1.0;
        (whole / seen).ln() + 1.0
    };
    let mut found: Vec<(f64, usize)> = others
        .iter()
        .enumerate()
        .filter_map(|(index, other)| {
            let shared: f64 = told.intersection(other).map(weight).sum();
            let either: f64 = told.union(other).map(weight).sum();
            let likeness = if either > 0.0 { shared / either } else { 0.0 };
            (likeness >= least && likeness > 0.0).then_some((likeness, index))
        })
        .collect();
    found.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    found.into_iter().take(most).map(|(_, index)| index).collect()
}

fn distinct(text: &str) -> BTreeSet<String> {
    words_of(text)
        .into_iter()
        .map(|word| word.small)
        .filter(|word| word.chars().count() >= SHORTEST)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_same_words_come_first_and_other_words_not_at_all() {
        let earlier =
            ["strap let go on the left", "zip split climbing", "ZIP split, climbing out of the boat"];
        assert_eq!(alike("zip split climbing out of the boat", &earlier, 0.2, 9), [2, 1]);
        assert_eq!(alike("zip split climbing out of the boat", &earlier, 0.2, 1), [2]);
    }

    #[test]
    fn rare_words_weigh_more_than_common_ones() {
        let earlier = ["found after training today", "found after training buckle", "found after training"];
        assert_eq!(alike("found buckle", &earlier, 0.0, 1), [1]);
    }

    #[test]
    fn no_words_are_like_nothing() {
        assert!(alike("", &["", "a"], 0.0, 9).is_empty());
    }
}
