//! Unnamed recurrences: reports that are told alike, and like nothing that has a mode.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use super::examples::{Example, catalogue_texts};
use super::learned::Learned;
use super::stem::stem;
use super::vocabulary::Vocabulary;
use super::words::words_of;

/// Fewest reports that make a group.
const FEWEST: usize = 3;
/// Least likeness of two reports of a group, as the cosine of their vectors.
const ALIKE: f32 = 0.15;
/// With how many known texts a report is held against: those it is likest to.
const NEIGHBOURS: usize = 3;
/// Share of a group that a report has to be like, to join it.
const JOINED: f32 = 0.3;
/// Where the reports of a group lead to one mode as surely as this, it has its name already.
const NAMED: f64 = 0.75;
/// Most common words that are shown.
const WORDS: usize = 6;

/// Reports that may be a recurrence no mode stands for.
#[derive(Clone, Debug, PartialEq)]
pub struct Unnamed {
    /// Which of the narratives, as they were given.
    pub members: Vec<usize>,
    /// Words that stand in at least half of them, the most telling first.
    pub words: Vec<String>,
    /// The kind of part that is likeliest to be meant.
    pub kind: String,
    /// The mode they fit best, and how well on the average.
    pub nearest: (String, f64),
}

type Vector = Vec<(u32, f32)>;

/// Groups of narratives that are more like each other than like anything known, the largest first.
///
/// Two narratives are linked where the cosine of their vectors is above the mean of each one's three largest cosines
/// with known texts. From the narrative with most links on, a group takes in whatever is linked with a third of it. A
/// group whose members the model puts under one mode anyway is left out.
pub fn unnamed(learned: &Learned, known: &[Example], told: &[&str]) -> Vec<Unnamed> {
    let mut vocabulary = Vocabulary::default();
    let of_catalogue = learned.modes().iter().flat_map(|mode| catalogue_texts("", mode));
    let mut bags: Vec<_> = of_catalogue.map(|text| vocabulary.learn(&text)).collect();
    bags.extend(known.iter().map(|one| vocabulary.learn(&one.narrative)));
    let own: Vec<_> = told.iter().map(|text| vocabulary.learn(text)).collect();
    let vector = |bag| {
        let mut vector = vocabulary.vector(bag);
        // Two blocks of length 1 each: this makes the product of two vectors their cosine.
        for (_, value) in &mut vector {
            *value *= std::f32::consts::FRAC_1_SQRT_2;
        }
        vector
    };
    let known: Vec<Vector> = bags.iter().map(vector).collect();
    let own: Vec<Vector> = own.iter().map(vector).collect();
    let nearness: Vec<f32> = own.iter().zip(against(&known, &own)).map(|(_, row)| near(row)).collect();
    let likeness: Vec<Vec<f32>> = against(&own, &own).collect();
    let linked = |a: usize, b: usize| a != b && likeness[a][b] > ALIKE.max(nearness[a]).max(nearness[b]);
    let mut groups = grouped(told.len(), linked);
    groups.sort_by_key(|group| std::cmp::Reverse(group.len()));
    groups.into_iter().filter_map(|members| group(learned, told, members)).collect()
}

/// The cosines of each of `own` with all of `others`.
fn against<'a>(others: &[Vector], own: &'a [Vector]) -> impl Iterator<Item = Vec<f32>> + use<'a> {
    let mut holders: HashMap<u32, Vec<(usize, f32)>> = HashMap::new();
    for (index, vector) in others.iter().enumerate() {
        for &(id, value) in vector {
            holders.entry(id).or_default().push((index, value));
        }
    }
    let count = others.len();
    own.iter().map(move |vector| {
        let mut products = vec![0.0; count];
        for (id, value) in vector {
            for &(index, other) in holders.get(id).into_iter().flatten() {
                products[index] += value * other;
            }
        }
        products
    })
}

/// The mean of the largest few.
fn near(mut cosines: Vec<f32>) -> f32 {
    cosines.sort_by(|a, b| b.total_cmp(a));
    cosines.truncate(NEIGHBOURS);
    cosines.iter().sum::<f32>() / cosines.len().max(1) as f32
}

/// Groups by links, each index in one at most.
fn grouped(count: usize, linked: impl Fn(usize, usize) -> bool) -> Vec<Vec<usize>> {
    let links = |index: usize| (0..count).filter(|&other| linked(index, other)).count();
    let mut order: Vec<usize> = (0..count).collect();
    order.sort_by_cached_key(|&index| std::cmp::Reverse(links(index)));
    let mut taken = vec![false; count];
    let mut groups = Vec::new();
    for first in order {
        if taken[first] {
            continue;
        }
        let mut group: Vec<usize> =
            (0..count).filter(|&other| other == first || !taken[other] && linked(first, other)).collect();
        loop {
            let joins = |index: &usize| {
                let with = group.iter().filter(|&&member| linked(*index, member)).count();
                !taken[*index]
                    && !group.contains(index)
                    && with >= 2
                    && with as f32 >= JOINED * group.len() as f32
            };
            let Some(next) = (0..count).find(joins) else { break };
            group.push(next);
        }
        if group.len() >= FEWEST {
            group.sort_unstable();
            for &member in &group {
                taken[member] = true;
            }
            groups.push(group);
        }
    }
    groups
}

/// A group with its words, unless it has its name already.
fn group(learned: &Learned, told: &[&str], members: Vec<usize>) -> Option<Unnamed> {
    let modes = learned.modes();
    let mut chances = vec![0.0_f64; modes.len()];
    let mut kinds: BTreeMap<&str, f64> = BTreeMap::new();
    for &member in &members {
        for ((sum, chance), mode) in chances.iter_mut().zip(learned.probabilities(told[member])).zip(modes) {
            let share = f64::from(chance) / members.len() as f64;
            *sum += share;
            *kinds.entry(mode.kind.as_str()).or_default() += share;
        }
    }
    let (best, fit) = chances.iter().copied().enumerate().max_by(|a, b| a.1.total_cmp(&b.1))?;
    let (kind, _) = kinds.into_iter().max_by(|a, b| a.1.total_cmp(&b.1))?;
    (fit < NAMED).then(|| Unnamed {
        words: common_words(told, &members),
        kind: kind.to_owned(),
        nearest: (modes[best].code.clone(), fit),
        members,
    })
}

/// Words that stand in at least half of a group and seldom outside it, as most of its members write them.
fn common_words(told: &[&str], members: &[usize]) -> Vec<String> {
    let mut forms: BTreeMap<String, BTreeMap<String, usize>> = BTreeMap::new();
    // Narratives, not words: one that says a word in three forms is one.
    let (mut inside, mut outside) = (HashMap::<String, usize>::new(), HashMap::<String, usize>::new());
    for (index, text) in told.iter().enumerate() {
        let words: BTreeSet<(String, String)> =
            words_of(text).into_iter().map(|word| (stem(&word.small).to_owned(), word.small)).collect();
        let is_member = members.contains(&index);
        let count = if is_member { &mut inside } else { &mut outside };
        for stem in words.iter().map(|word| &word.0).collect::<BTreeSet<_>>() {
            *count.entry(stem.clone()).or_default() += 1;
        }
        for (stem, word) in words.into_iter().filter(|_| is_member) {
            *forms.entry(stem).or_default().entry(word).or_default() += 1;
        }
    }
    let mut common: Vec<(f64, String)> = forms
        .into_iter()
        .filter_map(|(stem, forms)| {
            let within = inside.get(&stem).copied().unwrap_or_default();
            let elsewhere = outside.get(&stem).copied().unwrap_or_default() as f64;
            let others = (told.len() - members.len()).max(1) as f64;
            let lead = within as f64 / members.len() as f64 - elsewhere / others;
            let (word, _) = forms.into_iter().max_by_key(|form| form.1)?;
            (within * 2 >= members.len() && lead > 0.2 && word.chars().count() > 2).then_some((lead, word))
        })
        .collect();
    common.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    common.into_iter().take(WORDS).map(|one| one.1).collect()
}

#[cfg(test)]
mod tests {
    use super::super::examples::starters;
    use super::*;
    use crate::catalogue::Catalogue;

    #[test]
    fn reports_told_alike_and_like_nothing_known_are_one_group() {
        let learned = Learned::train(Catalogue::shipped(), starters(), &[]);
        let told = [
            "whistle on the collar came out of its clip",
            "zipper split behind the slider",
            "the whistle fell out of its clip on the collar again",
            "strap frayed at the edge",
            "collar whistle gone, clip does not hold it",
            "zip opens behind the slider",
            "zipper split again",
        ];
        let groups = unnamed(&learned, starters(), &told);
        assert_eq!(groups.len(), 1, "{groups:?}");
        assert_eq!(groups[0].members, [0, 2, 4]);
        assert!(["whistle", "clip", "collar"].iter().all(|word| groups[0].words.iter().any(|w| w == word)));
        assert!(groups[0].nearest.1 < NAMED);
    }

    #[test]
    fn a_word_in_three_forms_of_one_narrative_stands_in_one() {
        let told = [
            "whistle lost, strap strapped to other straps",
            "whistle fell from the collar",
            "whistles gone",
            "collar lost its whistle",
            "zipper split",
        ];
        assert_eq!(common_words(&told, &[0, 1, 2, 3]), ["whistle", "collar", "lost"]);
    }

    #[test]
    fn too_few_reports_are_no_group() {
        let learned = Learned::train(Catalogue::shipped(), &[], &[]);
        assert!(unnamed(&learned, &[], &[]).is_empty());
        assert!(unnamed(&learned, &[], &["whistle lost", "whistle lost"]).is_empty());
    }
}
