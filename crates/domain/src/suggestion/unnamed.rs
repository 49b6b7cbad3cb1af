//! Unnamed recurrences: reports that are told alike, and like nothing that has a mode.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use super::boilerplate::Boilerplate;
use super::examples::{Example, catalogue_texts};
use super::function_words::tells;
use super::learned::Learned;
use super::stem::stem;
use super::stems_of;
use super::vocabulary::Vocabulary;
use super::words::{Word, words_of};

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

/// A report that nobody has sorted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Unsorted<'a> {
    /// Who sent it.
    pub unit: &'a str,
    /// What was told.
    pub narrative: &'a str,
}

/// Reports that may be a recurrence no mode stands for.
#[derive(Clone, Debug, PartialEq)]
pub struct Unnamed {
    /// Which of the reports, as they were given; of likely doubles the first.
    pub members: Vec<usize>,
    /// Telling words that stand in at least half of them, the most telling first.
    pub words: Vec<String>,
    /// The kind of part that is likeliest to be meant.
    pub kind: String,
    /// The mode they fit best, and how well on the average.
    pub nearest: (String, f64),
}

type Vector = Vec<(u32, f32)>;

/// Groups of reports that are told more like each other than like anything known, the largest first; `names` are those of
/// items and parts.
///
/// Two narratives are linked where the cosine of their vectors is above the mean of each one's three largest cosines
/// with known texts, and where they are alike by their telling words alone, too. From the narrative with most links on, a
/// group takes in whatever is linked with a third of it. A group whose members the model puts under one mode anyway is
/// left out.
pub fn unnamed(
    learned: &Learned,
    known: &[Example],
    reports: &[Unsorted<'_>],
    names: &[&str],
) -> Vec<Unnamed> {
    let distinct = without_doubles(reports);
    let told: Vec<&str> = distinct.iter().map(|&index| reports[index].narrative).collect();
    let mut vocabulary = Vocabulary::default();
    let of_catalogue = learned.modes().iter().flat_map(|mode| catalogue_texts("", mode));
    let mut bags: Vec<_> = of_catalogue.map(|text| vocabulary.learn(&text)).collect();
    bags.extend(known.iter().map(|one| vocabulary.learn(&one.narrative)));
    let own: Vec<_> = told.iter().map(|text| vocabulary.learn(text)).collect();
    let vector = |bag| of_length_1(vocabulary.vector(bag));
    let of_known: Vec<Vector> = bags.iter().map(vector).collect();
    let own: Vec<Vector> = own.iter().map(vector).collect();
    let nearness: Vec<f32> = own.iter().zip(against(&of_known, &own)).map(|(_, row)| near(row)).collect();
    let likeness: Vec<Vec<f32>> = against(&own, &own).collect();
    let idle = Idle::of(known, &told, names);
    let telling = alike_by_telling_words(&vocabulary, &told, &idle);
    let linked = |a: usize, b: usize| {
        a != b && likeness[a][b] > ALIKE.max(nearness[a]).max(nearness[b]) && telling[a][b]
    };
    let mut groups = grouped(told.len(), linked);
    groups.sort_by_key(|group| std::cmp::Reverse(group.len()));
    let found = groups.into_iter().filter_map(|members| group(learned, &told, &idle, members));
    found
        .map(|one| Unnamed { members: one.members.iter().map(|&member| distinct[member]).collect(), ..one })
        .collect()
}

/// The first of those reports of a unit that are told in the same words: likely doubles, and no witnesses of each other.
fn without_doubles(reports: &[Unsorted<'_>]) -> Vec<usize> {
    let mut seen: BTreeSet<(&str, BTreeSet<String>)> = BTreeSet::new();
    let is_new = |&index: &usize| {
        let words = words_of(reports[index].narrative).into_iter().map(|word| word.small);
        seen.insert((reports[index].unit, words.collect()))
    };
    (0..reports.len()).filter(is_new).collect()
}

/// Words that link no reports: function words, those of the names of items and parts, and those that most reports have.
struct Idle(BTreeSet<String>);

impl Idle {
    fn of(known: &[Example], told: &[&str], names: &[&str]) -> Self {
        let mut reports_with: HashMap<String, usize> = HashMap::new();
        for narrative in known.iter().map(|one| one.narrative.as_str()).chain(told.iter().copied()) {
            for stem in stems_of(narrative).collect::<BTreeSet<_>>() {
                *reports_with.entry(stem).or_default() += 1;
            }
        }
        let reports = known.len() + told.len();
        reports_with.retain(|_, with| *with * 2 > reports);
        let of_names = names.iter().flat_map(|name| stems_of(name));
        Self(reports_with.into_keys().chain(of_names).collect())
    }

    fn has(&self, word: &str) -> bool {
        !tells(word) || self.0.contains(stem(word))
    }
}

/// Which narratives are alike without their idle words; where two begin or end in the same boilerplate, by what they tell
/// besides.
fn alike_by_telling_words(vocabulary: &Vocabulary, told: &[&str], idle: &Idle) -> Vec<Vec<bool>> {
    let cut: Vec<Vec<Word>> = told.iter().map(|text| words_of(text)).collect();
    let words: Vec<Vec<&str>> =
        cut.iter().map(|words| words.iter().map(|word| word.small.as_str()).collect()).collect();
    let vector = |words: &[&str]| {
        let telling: Vec<&str> = words.iter().copied().filter(|word| !idle.has(word)).collect();
        of_length_1(vocabulary.vector_of(&telling.join(" ")))
    };
    let boilerplate = Boilerplate::of(&words);
    let whole: Vec<Vector> = words.iter().map(|words| vector(words)).collect();
    let besides: Vec<Vector> =
        words.iter().zip(&boilerplate).map(|(words, of)| vector(&words[of.rest(words.len())])).collect();
    let by_whole: Vec<Vec<f32>> = against(&whole, &whole).collect();
    let by_besides: Vec<Vec<f32>> = against(&besides, &besides).collect();
    let is_alike = |a: usize, b: usize| {
        let tell_more = !besides[a].is_empty() && !besides[b].is_empty();
        let likeness =
            if tell_more && boilerplate[a].is_shared_with(&boilerplate[b]) { &by_besides } else { &by_whole };
        likeness[a][b] > ALIKE
    };
    (0..told.len()).map(|a| (0..told.len()).map(|b| is_alike(a, b)).collect()).collect()
}

/// A vector of two blocks of length 1 each, so that the product of two is their cosine.
fn of_length_1(mut vector: Vector) -> Vector {
    for (_, value) in &mut vector {
        *value *= std::f32::consts::FRAC_1_SQRT_2;
    }
    vector
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
fn group(learned: &Learned, told: &[&str], idle: &Idle, members: Vec<usize>) -> Option<Unnamed> {
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
        words: common_words(told, idle, &members),
        kind: kind.to_owned(),
        nearest: (modes[best].code.clone(), fit),
        members,
    })
}

/// Telling words that stand in at least half of a group and seldom outside it, as most of its members write them.
fn common_words(told: &[&str], idle: &Idle, members: &[usize]) -> Vec<String> {
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
            (within * 2 >= members.len() && lead > 0.2 && !idle.has(&word)).then_some((lead, word))
        })
        .collect();
    common.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    common.into_iter().take(WORDS).map(|one| one.1).collect()
}

#[cfg(test)]
mod tests {
    use std::sync::OnceLock;

    use super::super::examples::starters;
    use super::*;
    use crate::catalogue::Catalogue;

    /// What else waits, of modes that are known.
    const OTHERS: [&str; 4] = [
        "zipper split behind the slider",
        "strap frayed at the edge",
        "zip opens behind the slider",
        "zipper split again",
    ];

    fn learned() -> &'static Learned {
        static LEARNED: OnceLock<Learned> = OnceLock::new();
        LEARNED.get_or_init(|| Learned::train(Catalogue::shipped(), starters(), &[]))
    }

    /// The groups among reports of units and the others that wait.
    fn groups(reports: &[(&str, &str)], names: &[&str]) -> Vec<Unnamed> {
        let others = OTHERS.map(|narrative| ("HAVEN-1", narrative));
        let reports: Vec<Unsorted<'_>> =
            reports.iter().chain(&others).map(|&(unit, narrative)| Unsorted { unit, narrative }).collect();
        unnamed(learned(), starters(), &reports, names)
    }

    #[test]
    fn reports_told_alike_and_like_nothing_known_are_one_group() {
        let told = [
            ("A", "whistle on the collar came out of its clip"),
            ("A", "zipper split behind the slider"),
            ("B", "the whistle fell out of its clip on the collar again"),
            ("B", "strap frayed at the edge"),
            ("C", "collar whistle gone, clip does not hold it"),
        ];
        let groups = groups(&told, &[]);
        assert_eq!(groups.len(), 1, "{groups:?}");
        assert_eq!(groups[0].members, [0, 2, 4]);
        assert!(["whistle", "clip", "collar"].iter().all(|word| groups[0].words.iter().any(|w| w == word)));
        assert!(!groups[0].words.iter().any(|word| word == "the" || word == "its"), "{groups:?}");
        assert!(groups[0].nearest.1 < NAMED);
    }

    #[test]
    fn boilerplate_links_no_reports() {
        let told = [
            ("A", "Demo text: from the spring list, stitching of the shoulder strap frayed"),
            ("A", "Demo text: from the spring list, hook-and-loop closure lets go when wet"),
            ("A", "Demo text: from the spring list, slide fastener runs hard with sand in it"),
        ];
        assert!(groups(&told, &[]).is_empty());
    }

    #[test]
    fn the_name_of_the_item_links_no_reports() {
        let told = [
            ("A", "something hums at night on the carrier"),
            ("B", "white powder settles on the carrier"),
            ("C", "ants live on the carrier"),
            ("D", "smell of fish on the carrier"),
            ("E", "the paint blisters on the carrier"),
        ];
        assert!(groups(&told, &["Rescue carrier"]).is_empty());
        let named =
            common_words(&told.map(|one| one.1), &Idle::of(&[], &[], &["Rescue carrier"]), &[0, 1, 2, 3, 4]);
        assert!(named.is_empty(), "{named:?}");
    }

    #[test]
    fn one_sentence_of_one_unit_is_one_witness_however_often_it_came() {
        let sentence = "whistle came out of its clip on the collar";
        let of = |units: &[&str]| {
            let told: Vec<(&str, &str)> = units.iter().map(|&unit| (unit, sentence)).collect();
            groups(&told, &[]).into_iter().map(|group| group.members).collect::<Vec<_>>()
        };
        assert!(of(&["A"; 4]).is_empty());
        assert_eq!(of(&["A", "A", "B", "C", "B"]), [[0, 2, 3]]);
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
        let idle = Idle(BTreeSet::new());
        assert_eq!(common_words(&told, &idle, &[0, 1, 2, 3]), ["whistle", "collar", "lost"]);
    }

    #[test]
    fn too_few_reports_are_no_group() {
        assert!(unnamed(learned(), &[], &[], &[]).is_empty());
        let twice = [("A", "whistle lost"), ("B", "whistle lost")];
        assert!(groups(&twice, &[]).is_empty());
    }
}
