//! Boilerplate: the words with which several reports begin or end alike, whatever they tell besides.

use std::ops::Range;

/// Fewest words in a row; fewer are a phrase that anybody may use.
const WORDS: usize = 4;
/// Fewest reports that have them; of two, one may only be like the other.
const REPORTS: usize = 3;

/// The words with which a report begins and ends as others do.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Boilerplate<'a> {
    start: Vec<&'a str>,
    /// The last word first.
    end: Vec<&'a str>,
}

impl<'a> Boilerplate<'a> {
    /// That of each report, by its words.
    pub(super) fn of(reports: &[Vec<&'a str>]) -> Vec<Self> {
        let reversed: Vec<Vec<&str>> =
            reports.iter().map(|words| words.iter().rev().copied().collect()).collect();
        let (starts, ends) = (shared_starts(reports), shared_starts(&reversed));
        starts.into_iter().zip(ends).map(|(start, end)| Self { start, end }).collect()
    }

    /// Whether another report begins or ends in the same.
    pub(super) fn is_shared_with(&self, other: &Self) -> bool {
        let same = |one: &[&str], other: &[&str]| !one.is_empty() && one == other;
        same(&self.start, &other.start) || same(&self.end, &other.end)
    }

    /// What is left between the two of a report of so many words.
    pub(super) fn rest(&self, words: usize) -> Range<usize> {
        let start = self.start.len();
        start..words.saturating_sub(self.end.len()).max(start)
    }
}

/// The longest beginning of each report that others have too.
fn shared_starts<'a>(reports: &[Vec<&'a str>]) -> Vec<Vec<&'a str>> {
    let mut order: Vec<usize> = (0..reports.len()).collect();
    order.sort_by(|&a, &b| reports[a].cmp(&reports[b]));
    let mut shared = vec![0; reports.len()];
    // In order, reports that begin alike stand beside each other, and what first and last share, those between share too.
    for beside in order.windows(REPORTS) {
        let (first, last) = (&reports[beside[0]], &reports[beside[REPORTS - 1]]);
        let alike = first.iter().zip(last).take_while(|(one, other)| one == other).count();
        if alike < WORDS {
            continue;
        }
        for &index in beside {
            shared[index] = alike.max(shared[index]);
        }
    }
    reports.iter().zip(shared).map(|(words, length)| words[..length].to_vec()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cut(told: &[&'static str]) -> Vec<Vec<&'static str>> {
        told.iter().map(|text| text.split(' ').collect()).collect()
    }

    #[test]
    fn what_three_reports_begin_or_end_in_is_cut_off() {
        let told = cut(&[
            "from the spring list zip split please send a new one",
            "from the spring list strap frayed",
            "from the autumn list buckle cracked please send a new one",
            "from the spring list label gone",
            "whistle lost please send a new one",
        ]);
        let found = Boilerplate::of(&told);
        let rest = |at: usize| told[at][found[at].rest(told[at].len())].join(" ");
        assert_eq!([rest(0), rest(1), rest(4)], ["zip split", "strap frayed", "whistle lost"]);
        assert_eq!(rest(2), "from the autumn list buckle cracked", "no other report is from that list");
        assert!(found[0].is_shared_with(&found[1]) && found[0].is_shared_with(&found[4]));
        assert!(!found[1].is_shared_with(&found[4]) && !found[1].is_shared_with(&found[2]));
    }

    #[test]
    fn a_phrase_of_three_words_and_one_of_two_reports_are_none() {
        let told = cut(&["out of its clip", "whistle out of its clip", "strap out of its buckle", "gone"]);
        assert!(Boilerplate::of(&told).iter().all(|one| *one == Boilerplate::default()));
    }

    #[test]
    fn of_reports_in_the_same_words_nothing_is_left() {
        let told = cut(&["whistle came off again"; 3]);
        assert_eq!(Boilerplate::of(&told)[0].rest(4), 4..4);
    }
}
