//! The model that suggestions come from: learned from the catalogue, invented starter examples and confirmed reports.

use std::collections::{BTreeMap, HashMap};
use std::ops::Range;

use super::calibration::best_sharpness;
use super::examples::{Example, catalogue_texts};
use super::function_words::tells;
use super::linear::{Linear, Row, Settings, softmax};
use super::vocabulary::{Bag, Placed, Vocabulary};
use super::words::{Word, words_of};
use crate::catalogue::{Catalogue, Mode};

const SETTINGS: Settings = Settings { penalty: 0.1, shared: 1.0, constant: 0.3, looks: 60_000 };
/// A word is marked from this share of the strongest word's contribution on.
const TELLING: f32 = 0.2;

/// A mode that a narrative may tell of.
#[derive(Clone, Debug, PartialEq)]
pub struct Suggestion<'a> {
    /// The mode.
    pub mode: &'a Mode,
    /// How probable it is. Those of all modes that were asked about add up to 1, or to less where the words tell of others.
    pub probability: f64,
    /// The words that speak for it, in bytes of the narrative, in order and without overlap.
    pub words: Vec<Range<usize>>,
}

/// What a model learned from, besides the catalogue.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Basis {
    /// Reports that people sorted.
    pub confirmed: usize,
    /// Invented starter examples.
    pub starters: usize,
}

/// A fitted model.
#[derive(Clone, Debug)]
pub struct Learned {
    modes: Vec<Mode>,
    vocabulary: Vocabulary,
    linear: Linear,
    sharpness: f32,
    basis: Basis,
}

/// A text that is learned from, before it is a vector.
struct Text {
    bag: Bag,
    class: usize,
    weight: f32,
    is_example: bool,
}

impl Learned {
    /// Learns. Examples of modes that the catalogue lacks are passed over.
    ///
    /// The more confirmed reports a mode has, the less its invented examples weigh: 1 / (1 + n) each with n reports.
    pub fn train(catalogue: &Catalogue, starters: &[Example], confirmed: &[Example]) -> Self {
        let modes = catalogue.modes().to_vec();
        let class_of: HashMap<&str, usize> =
            modes.iter().enumerate().map(|(class, mode)| (mode.code.as_str(), class)).collect();
        let mut vocabulary = Vocabulary::default();
        let mut texts: Vec<Text> = Vec::new();
        for (class, mode) in modes.iter().enumerate() {
            let kind = catalogue.kind(&mode.kind).map_or("", |kind| kind.name.as_str());
            for text in catalogue_texts(kind, mode) {
                texts.push(Text { bag: vocabulary.learn(&text), class, weight: 1.0, is_example: false });
            }
        }
        let mut basis = Basis::default();
        let mut reports_of = vec![0_usize; modes.len()];
        let known = |one: &Example| class_of.get(one.mode.as_str()).copied();
        for one in confirmed {
            let Some(class) = known(one) else { continue };
            reports_of[class] += 1;
            basis.confirmed += 1;
            texts.push(Text { bag: vocabulary.learn(&one.narrative), class, weight: 1.0, is_example: true });
        }
        for one in starters {
            let Some(class) = known(one) else { continue };
            basis.starters += 1;
            let weight = 1.0 / (1.0 + reports_of[class] as f32);
            texts.push(Text { bag: vocabulary.learn(&one.narrative), class, weight, is_example: true });
        }
        let row = |text: &Text| Row {
            features: vocabulary.vector(&text.bag),
            class: text.class,
            weight: text.weight,
            is_example: text.is_example,
        };
        let rows: Vec<Row> = texts.iter().map(row).collect();
        let groups = groups_of(&modes);
        let linear = Linear::fit(vocabulary.len(), &groups, &rows, SETTINGS);
        let sharpness = best_sharpness(vocabulary.len(), &groups, &rows, SETTINGS);
        Self { modes, vocabulary, linear, sharpness, basis }
    }

    /// How probable it is that two narratives tell of one mode, Σ p(m) q(m) over the modes; a mode that is known is
    /// taken for sure.
    pub fn agreement(&self, one: (&str, Option<&str>), other: (&str, Option<&str>)) -> f64 {
        let [one, other] = [one, other].map(|(narrative, mode)| match mode {
            Some(code) => self.modes.iter().map(|mode| f32::from(u8::from(mode.code == code))).collect(),
            None => self.probabilities(narrative),
        });
        one.iter().zip(&other).map(|(p, q)| f64::from(p * q)).sum()
    }

    /// What it learned from.
    pub const fn basis(&self) -> Basis {
        self.basis
    }

    /// The modes it chooses from, in catalogue order.
    pub fn modes(&self) -> &[Mode] {
        &self.modes
    }

    /// The probability of each mode, in catalogue order.
    pub fn probabilities(&self, narrative: &str) -> Vec<f32> {
        self.chances(&self.vocabulary.vector_of(narrative), |_| 1.0)
    }

    /// Whether a narrative has a word that is known, or nearly so. Of one without it nothing can be told.
    pub fn knows_a_word(&self, narrative: &str) -> bool {
        words_of(narrative).iter().any(|word| tells(&word.small) && self.vocabulary.knows(word))
    }

    /// The mode that a narrative tells of though the item doesn't contain its kind, where that kind is likelier than all
    /// others together: a sign that the wrong item was named. `weight_of` as for [`Learned::suggest`].
    pub fn lacked(&self, narrative: &str, weight_of: impl Fn(&str) -> f32) -> Option<&Mode> {
        let (chance, mode) = self.likeliest_lacked(&self.vocabulary.vector_of(narrative), weight_of)?;
        (lead(chance) > 0.0).then_some(mode)
    }

    /// The most probable modes for a narrative, best first.
    ///
    /// `weight_of` gives each kind its weight before anything was told: none for what the item doesn't contain. By as much
    /// as the words make one such kind likelier than all others together, the modes that are left are less probable: the
    /// words don't speak for these, and the item may be the wrong one.
    pub fn suggest(
        &self,
        narrative: &str,
        weight_of: impl Fn(&str) -> f32,
        most: usize,
    ) -> Vec<Suggestion<'_>> {
        let words = words_of(narrative);
        let (vector, placed) = self.vocabulary.by_word(&words);
        let chances = self.chances(&vector, &weight_of);
        let elsewhere = self.likeliest_lacked(&vector, &weight_of).map_or(0.0, |lacked| lead(lacked.0));
        let mut best: Vec<usize> = (0..chances.len()).filter(|&class| chances[class] > 0.0).collect();
        best.sort_by(|&a, &b| chances[b].total_cmp(&chances[a]));
        best.truncate(most);
        let suggestion = |class: usize| Suggestion {
            mode: &self.modes[class],
            probability: f64::from(chances[class] * (1.0 - elsewhere)),
            words: telling(&self.contributions(class, &chances, &placed, &words))
                .into_iter()
                .map(|run| words[run.start].at.start..words[run.end - 1].at.end)
                .collect(),
        };
        best.into_iter().map(suggestion).collect()
    }

    fn chances(&self, vector: &[(u32, f32)], weight_of: impl Fn(&str) -> f32) -> Vec<f32> {
        let mut scores = vec![0.0; self.modes.len()];
        self.linear.score(vector, &mut scores);
        for (score, mode) in scores.iter_mut().zip(&self.modes) {
            *score = *score * self.sharpness + weight_of(&mode.kind).ln();
        }
        softmax(&mut scores);
        scores
    }

    /// Of the kinds without weight the likeliest by the words, were it contained: how probable it is, and its likeliest mode.
    fn likeliest_lacked(
        &self,
        vector: &[(u32, f32)],
        weight_of: impl Fn(&str) -> f32,
    ) -> Option<(f32, &Mode)> {
        let is_lacked = |kind: &str| weight_of(kind) <= 0.0;
        let chances = self.chances(vector, |kind| if is_lacked(kind) { 1.0 } else { weight_of(kind) });
        let mut kinds: BTreeMap<&str, (f32, usize)> = BTreeMap::new();
        for (class, mode) in self.modes.iter().enumerate().filter(|one| is_lacked(&one.1.kind)) {
            let (sum, likeliest) = kinds.entry(&mode.kind).or_insert((0.0, class));
            *sum += chances[class];
            if chances[class] > chances[*likeliest] {
                *likeliest = class;
            }
        }
        let (sum, likeliest) = kinds.into_values().max_by(|a, b| a.0.total_cmp(&b.0))?;
        Some((sum, &self.modes[likeliest]))
    }

    /// By how much each word raises the score of a mode, half above what it adds to all modes on the average, which
    /// brings out the part, half above what it adds to the probable ones, which brings out how the part failed.
    fn contributions(&self, class: usize, chances: &[f32], placed: &[Placed], words: &[Word]) -> Vec<f32> {
        let mut sums = vec![0.0; words.len()];
        for &(id, value, word) in placed.iter().filter(|one| tells(&words[one.2].small)) {
            let weights = self.linear.of(id);
            let of_all = weights.iter().sum::<f32>() / weights.len() as f32;
            let of_probable: f32 = weights.iter().zip(chances).map(|(weight, chance)| weight * chance).sum();
            sums[word] += value * (weights[class] - f32::midpoint(of_all, of_probable));
        }
        sums
    }
}

/// By how much what is as probable as this is likelier than all else together.
fn lead(chance: f32) -> f32 {
    (2.0 * chance - 1.0).max(0.0)
}

/// Runs of words that speak for a mode, by what each adds to its score.
fn telling(contributions: &[f32]) -> Vec<Range<usize>> {
    let strongest = contributions.iter().copied().fold(0.0, f32::max);
    let mut runs: Vec<Range<usize>> = Vec::new();
    for (word, added) in contributions.iter().enumerate() {
        if *added <= 0.0 || *added < TELLING * strongest {
            continue;
        }
        match runs.last_mut() {
            Some(run) if run.end == word => run.end += 1,
            _ => runs.push(word..word + 1),
        }
    }
    runs
}

/// The number of each mode's kind.
fn groups_of(modes: &[Mode]) -> Vec<usize> {
    let mut kinds: Vec<&str> = Vec::new();
    let mut groups = Vec::with_capacity(modes.len());
    for mode in modes {
        let known = kinds.iter().position(|kind| *kind == mode.kind);
        groups.push(known.unwrap_or(kinds.len()));
        if known.is_none() {
            kinds.push(&mode.kind);
        }
    }
    groups
}

#[cfg(test)]
mod tests {
    use std::sync::OnceLock;

    use super::super::examples::starters;
    use super::*;

    fn model() -> &'static Learned {
        static MODEL: OnceLock<Learned> = OnceLock::new();
        MODEL.get_or_init(|| Learned::train(Catalogue::shipped(), starters(), &[]))
    }

    fn example(narrative: &str, mode: &str) -> Example {
        Example { narrative: narrative.to_owned(), mode: mode.to_owned() }
    }

    #[test]
    fn words_of_units_lead_to_the_mode_even_misspelt() {
        for narrative in ["zipper split", "The ZIPER,  spilts behind the slidder"] {
            let found = model().suggest(narrative, |_| 1.0, 5);
            assert_eq!((found.len(), found[0].mode.code.as_str()), (5, "ZIP-1"), "{found:?}");
        }
    }

    #[test]
    fn probabilities_add_up_over_all_modes_and_over_the_kinds_asked_about() {
        let narrative = "frame tube bent at the bottom";
        let all: f32 = model().probabilities(narrative).iter().sum();
        assert!((all - 1.0).abs() < 1e-4, "{all}");
        let some = model().suggest(narrative, |kind| f32::from(u8::from(kind == "FRM")), 99);
        assert!(some.iter().all(|one| one.mode.kind == "FRM"));
        assert!((some.iter().map(|one| one.probability).sum::<f64>() - 1.0).abs() < 1e-4);
        assert!(model().suggest(narrative, |_| 0.0, 5).is_empty());
    }

    #[test]
    fn words_that_tell_of_a_kind_the_item_lacks_make_no_other_mode_probable() {
        let without_zip = |kind: &str| f32::from(u8::from(kind != "ZIP"));
        let sum = |narrative| -> f64 {
            model().suggest(narrative, without_zip, 999).iter().map(|one| one.probability).sum()
        };
        let lacked = |narrative| model().lacked(narrative, without_zip).map(|mode| mode.code.as_str());
        assert_eq!(lacked("zip split"), Some("ZIP-1"));
        assert!(sum("zip split") < 0.1, "{}", sum("zip split"));
        assert!(model().suggest("zip split", without_zip, 999).iter().all(|one| one.mode.kind != "ZIP"));
        for told_of_others in ["strap frayed at the edge", "frame tube bent at the bottom"] {
            assert_eq!(lacked(told_of_others), None);
            assert!((sum(told_of_others) - 1.0).abs() < 1e-4, "{}", sum(told_of_others));
        }
        assert_eq!(model().lacked("zip split", |_| 1.0), None, "what is contained isn't lacked");
    }

    #[test]
    fn a_text_without_a_word_that_is_known_is_told_from_others() {
        for told in ["", "?", "ok", "n/a", "👍", "zamek pękł", "der Reißverschluss ist gerissen"] {
            assert!(!model().knows_a_word(told), "{told}");
        }
        for told in ["zip", "zippper", "it splits", "der zip"] {
            assert!(model().knows_a_word(told), "{told}");
        }
    }

    #[test]
    fn function_words_are_never_pointed_out() {
        for one in starters() {
            for found in model().suggest(&one.narrative, |_| 1.0, 2) {
                for at in found.words {
                    let marked = &one.narrative[at];
                    assert!(words_of(marked).iter().all(|word| tells(&word.small)), "{marked}");
                }
            }
        }
    }

    #[test]
    fn the_words_that_speak_for_a_mode_are_pointed_out() {
        let narrative = "On Tuesday the zipper split again";
        let found = model().suggest(narrative, |_| 1.0, 1);
        let words: Vec<&str> = found[0].words.iter().map(|at| &narrative[at.clone()]).collect();
        assert_eq!(words, ["zipper split"]);
    }

    #[test]
    fn two_narratives_of_one_mode_agree_and_of_two_modes_do_not() {
        let agreement = |one, other| model().agreement(one, other);
        assert!(agreement(("zipper split", None), ("zip opens behind the slider", None)) > 0.5);
        assert!(agreement(("zipper split", None), ("", Some("ZIP-1"))) > 0.5);
        assert!(agreement(("zipper split", None), ("frame tube bent", None)) < 0.01);
        assert_eq!(agreement(("", Some("ZIP-1")), ("", Some("ZIP-2"))), 0.0);
    }

    #[test]
    fn what_people_confirmed_outvotes_the_examples() {
        let narrative = "zipper split";
        let mine = Catalogue::shipped().mode("ZIP-6").expect("shipped");
        let confirmed: Vec<Example> = (0..12).map(|_| example(narrative, &mine.code)).collect();
        let taught = Learned::train(Catalogue::shipped(), starters(), &confirmed);
        assert_eq!(taught.suggest(narrative, |_| 1.0, 1)[0].mode.code, "ZIP-6");
        assert_eq!(taught.basis(), Basis { confirmed: 12, starters: starters().len() });
    }

    #[test]
    fn examples_of_modes_that_nobody_knows_are_passed_over() {
        let strays = [example("zipper split", "NONE-1")];
        assert_eq!(Learned::train(Catalogue::shipped(), &[], &strays).basis(), Basis::default());
    }

    #[test]
    fn learning_twice_from_the_same_gives_the_same() {
        let again = Learned::train(Catalogue::shipped(), starters(), &[]);
        let narrative = "bottom of sack gone all hairy and thin";
        assert_eq!(again.probabilities(narrative), model().probabilities(narrative));
    }

    #[test]
    fn a_narrative_of_no_words_is_foretold_by_the_catalogue_alone() {
        let found = model().suggest("", |_| 1.0, 5);
        assert_eq!(found.len(), 5);
        assert!(found.iter().all(|one| one.words.is_empty() && one.probability < 0.1), "{found:?}");
    }
}
