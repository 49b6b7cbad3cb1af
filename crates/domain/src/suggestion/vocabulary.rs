//! What a narrative is made of, as a weighted vector: its words without endings, and the groups of letters in them.

use std::collections::HashMap;

use super::stem::stem;
use super::words::{Word, words_of};

/// Lengths of the groups of letters, word boundaries counted as letters: a misspelt word shares most of its groups.
const GROUPS: std::ops::RangeInclusive<usize> = 3..=5;
/// Kinds of feature, each made of equal weight in a narrative.
const BLOCKS: usize = 2;

/// A feature of a narrative and the word it stands in.
type Seen = (u32, usize);

/// A feature, its share of the vector's value, and the word it stands in.
pub(super) type Placed = (u32, f32, usize);

/// Features of one text, counted.
#[derive(Clone, Debug, Default)]
pub(super) struct Bag(Vec<(u32, u32)>);

/// Known features and how telling each is.
#[derive(Clone, Debug, Default)]
pub(super) struct Vocabulary {
    ids: HashMap<String, u32>,
    /// The block of each feature.
    blocks: Vec<u8>,
    /// Of how many texts each is a feature.
    texts_with: Vec<u32>,
    texts: u32,
}

impl Vocabulary {
    /// How many features it knows.
    pub(super) fn len(&self) -> usize {
        self.blocks.len()
    }

    /// Takes in the features of a text.
    pub(super) fn learn(&mut self, text: &str) -> Bag {
        let mut seen: Vec<u32> = Vec::new();
        each_feature(&words_of(text), |block, name, _| {
            let next = self.blocks.len() as u32;
            let id = *self.ids.entry(name.to_owned()).or_insert(next);
            if id == next {
                self.blocks.push(block);
                self.texts_with.push(0);
            }
            seen.push(id);
        });
        let bag = counted(seen);
        for &(id, _) in &bag.0 {
            self.texts_with[id as usize] += 1;
        }
        self.texts += 1;
        bag
    }

    /// Whether it knows a word, or more than half of the groups of letters in it, as of one that is misspelt.
    pub(super) fn knows(&self, word: &Word) -> bool {
        let (mut is_known, mut groups, mut known_groups) = (false, 0, 0);
        each_feature(std::slice::from_ref(word), |block, name, _| {
            let is_in = self.ids.contains_key(name);
            if block == 0 {
                is_known = is_in;
            } else {
                groups += 1;
                known_groups += usize::from(is_in);
            }
        });
        is_known || known_groups * 2 > groups
    }

    /// The known features of words, with the word each stands in.
    fn look(&self, words: &[Word]) -> Vec<Seen> {
        let mut seen = Vec::new();
        each_feature(words, |_, name, word| seen.extend(self.ids.get(name).map(|&id| (id, word))));
        seen
    }

    /// The vector of a text.
    pub(super) fn vector_of(&self, text: &str) -> Vec<(u32, f32)> {
        self.by_word(&words_of(text)).0
    }

    /// The vector of a bag: in each block (1 + ln count) · (ln((N + 1) / (d + 1)) + 1) with d of N texts having the
    /// feature, brought to length 1 (Salton and Buckley, Information Processing & Management 24, 1988, with the
    /// logarithm of counts).
    pub(super) fn vector(&self, bag: &Bag) -> Vec<(u32, f32)> {
        let mut squares = [0.0_f32; BLOCKS];
        let mut vector: Vec<(u32, f32)> = bag
            .0
            .iter()
            .map(|&(id, count)| {
                let with = self.texts_with[id as usize] as f32;
                let rarity = ((self.texts as f32 + 1.0) / (with + 1.0)).ln() + 1.0;
                let value = (1.0 + (count as f32).ln()) * rarity;
                squares[usize::from(self.blocks[id as usize])] += value * value;
                (id, value)
            })
            .collect();
        for (id, value) in &mut vector {
            *value /= squares[usize::from(self.blocks[*id as usize])].sqrt();
        }
        vector
    }

    /// The vector of a text by its words, and each feature's value shared out over the words it stands in.
    pub(super) fn by_word(&self, words: &[Word]) -> (Vec<(u32, f32)>, Vec<Placed>) {
        let seen = self.look(words);
        let bag = counted(seen.iter().map(|one| one.0).collect());
        let vector = self.vector(&bag);
        let shares = bag.0.iter().zip(&vector).map(|(&(id, count), &(_, value))| (id, value / count as f32));
        let shares: HashMap<u32, f32> = shares.collect();
        let placed = seen.into_iter().map(|(id, word)| (id, shares[&id], word)).collect();
        (vector, placed)
    }
}

fn counted(mut seen: Vec<u32>) -> Bag {
    seen.sort_unstable();
    let mut bag: Vec<(u32, u32)> = Vec::new();
    for id in seen {
        match bag.last_mut() {
            Some(last) if last.0 == id => last.1 += 1,
            _ => bag.push((id, 1)),
        }
    }
    Bag(bag)
}

/// Calls `take` with block, name and the word's index for each feature of a text.
fn each_feature(words: &[Word], mut take: impl FnMut(u8, &str, usize)) {
    let mut name = String::new();
    for (index, word) in words.iter().enumerate() {
        name.clear();
        name.push(' ');
        name.push_str(stem(&word.small));
        take(0, &name, index);
        let bounded: Vec<char> = std::iter::once('<').chain(word.small.chars()).chain(['>']).collect();
        for length in GROUPS {
            for group in bounded.windows(length) {
                name.clear();
                name.extend(group);
                take(1, &name, index);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_block_of_a_vector_has_length_one_and_rare_words_weigh_more() {
        let mut vocabulary = Vocabulary::default();
        vocabulary.learn("strap frayed");
        let bag = vocabulary.learn("strap split");
        let vector = vocabulary.vector(&bag);
        let squares: f32 = vector.iter().map(|one| one.1 * one.1).sum();
        assert!((squares - 2.0).abs() < 1e-5, "{squares}");
        let value = |name: &str| vector.iter().find(|one| one.0 == vocabulary.ids[name]).map(|one| one.1);
        assert!(value(" split") > value(" strap"));
    }

    #[test]
    fn a_word_is_known_in_its_other_forms_and_misspelt_but_not_by_a_group_of_letters_or_two() {
        let mut vocabulary = Vocabulary::default();
        vocabulary.learn("zipper split, strap frayed");
        let knows = |word: &str| vocabulary.knows(&words_of(word)[0]);
        assert!(knows("splits") && knows("zippper") && knows("strapp"));
        assert!(!knows("zamek") && !knows("spur") && !knows("verstrickt"));
    }

    #[test]
    fn what_was_never_seen_adds_nothing_and_shares_add_up_to_the_vector() {
        let mut vocabulary = Vocabulary::default();
        vocabulary.learn("strap strap frayed");
        assert!(vocabulary.vector_of("zzz").is_empty());
        let (vector, placed) = vocabulary.by_word(&words_of("strap, new: strap"));
        for (id, value) in vector {
            let sum: f32 = placed.iter().filter(|one| one.0 == id).map(|one| one.1).sum();
            assert!((sum - value).abs() < 1e-6);
        }
        assert!(placed.iter().all(|one| one.2 != 1), "nothing is known of `new`");
    }
}
