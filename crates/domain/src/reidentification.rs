//! Re-identification: which part numbers must change with a part, climbing the structure to where old and new are
//! interchangeable again.
//!
//! MIL-STD-100G 406.13: a part that is no longer interchangeable with its previous version gets a new number, and so
//! does its next higher assembly "and all subsequent higher assemblies up to and including the level at which
//! interchangeability is re-established". Some houses stop one level lower, so the rule only proposes: the engineer
//! answers each level, decides its number, and signs.

use std::collections::{BTreeMap, BTreeSet};

use crate::field::{Field, PartId, RevisionId};
use crate::words::Problem;

/// The rule the proposal follows.
pub const SOURCE: &str =
    "MIL-STD-100G 406.13, up to and including the level where interchangeability is restored";

/// Deepest structure that is climbed; a deeper one is a circle.
const DEEPEST: usize = 32;

/// What the engineer answered of one level, and decided.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LevelAnswer {
    /// The part or assembly.
    pub part_no: String,
    /// Whether it exchanges with its previous version, without selection or alteration.
    pub interchangeable: bool,
    /// Whether it is to get a new number.
    pub new_number: bool,
    /// Why.
    pub words: String,
}

/// One part or assembly on the way up.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Level {
    /// The part or assembly.
    pub part: PartId,
    /// Steps above the changed part, which is 0.
    pub height: usize,
    /// Whether it exchanges with its previous version, as answered; `None` while nobody has.
    pub interchangeable: Option<bool>,
    /// Whether the rule wants a new number; `None` while that hangs on the level's own answer.
    pub proposed: Option<bool>,
    /// Whether it gets one, as the engineer decided.
    pub decided: Option<bool>,
    /// The engineer's words.
    pub words: Option<String>,
}

impl Level {
    /// Whether the engineer decided otherwise than the rule proposes.
    pub fn is_otherwise(&self) -> bool {
        self.decided.zip(self.proposed).is_some_and(|(decided, proposed)| decided != proposed)
    }
}

/// The levels that a change reaches, the changed part first, then by height and number.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Climb {
    /// The levels.
    pub levels: Vec<Level>,
    /// End items that are reached and not interchangeable: nothing above restores it.
    pub never_restored: Vec<PartId>,
}

impl Climb {
    /// Levels that nobody has answered.
    pub fn open(&self) -> impl Iterator<Item = &Level> {
        self.levels.iter().filter(|level| level.interchangeable.is_none())
    }

    /// Whether every level is answered and decided.
    pub fn is_whole(&self) -> bool {
        self.levels.iter().all(|level| level.interchangeable.is_some() && level.decided.is_some())
    }
}

/// Climbs from the revision before a change, as far as the answers reach.
///
/// The changed part gets a new number when it doesn't exchange with its previous version. Then every assembly that
/// holds it is reached and gets one; above an assembly that exchanges again, or that nobody has answered, nothing is
/// reached.
pub fn climb(field: &Field, from: RevisionId, answers: &[LevelAnswer]) -> Climb {
    let answer = |part: PartId| answers.iter().find(|a| a.part_no == field.part_names[part]);
    let changed = field.revisions[from].part;
    let mut height: BTreeMap<PartId, usize> = BTreeMap::from([(changed, 0)]);
    let mut never_restored = BTreeSet::new();
    let mut open = vec![changed];
    while let Some(part) = open.pop() {
        let restored = answer(part).is_none_or(|answer| answer.interchangeable);
        let above = parents(field, part, (part == changed).then_some(from));
        if restored {
            continue;
        }
        if above.is_empty() {
            never_restored.insert(part);
        }
        let next = height[&part] + 1;
        for parent in above {
            if next <= DEEPEST && height.get(&parent).is_none_or(|&known| known < next) {
                height.insert(parent, next);
                open.push(parent);
            }
        }
    }
    let mut levels: Vec<Level> = height
        .into_iter()
        .map(|(part, height)| {
            let answer = answer(part);
            let interchangeable = answer.map(|a| a.interchangeable);
            Level {
                part,
                height,
                interchangeable,
                proposed: if height == 0 { interchangeable.map(|same| !same) } else { Some(true) },
                decided: answer.map(|a| a.new_number),
                words: answer.map(|a| a.words.clone()).filter(|words| !words.is_empty()),
            }
        })
        .collect();
    levels.sort_by(|a, b| (a.height, &field.part_names[a.part]).cmp(&(b.height, &field.part_names[b.part])));
    Climb { levels, never_restored: never_restored.into_iter().collect() }
}

/// Parts of which a revision holds a part; of the changed part only those that hold the revision before.
fn parents(field: &Field, part: PartId, only: Option<RevisionId>) -> BTreeSet<PartId> {
    let revisions = only.map_or_else(|| field.parts[part].revisions.clone(), |revision| vec![revision]);
    let above = revisions.iter().flat_map(|&revision| &field.revisions[revision].parents);
    above.map(|&parent| field.revisions[parent].part).filter(|&parent| parent != part).collect()
}

/// Refuses what an engineer can't sign: a level without words where the decision departs from the rule, or where
/// interchangeability is denied.
///
/// # Errors
/// The part concerned as the field of the problem's name, and what is wanted.
pub fn check(field: &Field, from: RevisionId, answers: &[LevelAnswer]) -> Result<(), (String, Problem)> {
    for level in climb(field, from, answers).levels {
        let silent = level.words.is_none();
        let name = || field.part_names[level.part].to_owned();
        if silent && level.is_otherwise() {
            let why = "say why: this departs from what the rule proposes";
            return Err((name(), Problem::new("words", why)));
        }
        if silent && level.interchangeable == Some(false) {
            return Err((name(), Problem::new("words", "say what no longer exchanges")));
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::nouns::{builder, component, part};

    const KEEPER: &str = "HS-131";
    const STRAP: &str = "HS-130";
    const HARNESS: &str = "HS-100";

    /// Harness, chest strap, strap keeper: the tree of our own reading of 406.13.
    fn tree() -> (Field, RevisionId) {
        let mut b = builder();
        for (part_no, kind) in [(HARNESS, "ITEM"), (STRAP, "WEB"), (KEEPER, "LCG")] {
            b.part(&part(part_no, "A", kind)).expect("new");
        }
        for (parent, child) in [(HARNESS, STRAP), (STRAP, KEEPER)] {
            b.component(&component((parent, "A"), (child, "A"), 1.0)).expect("known");
        }
        let field = b.build();
        let from = field.find_revision(KEEPER, "A").expect("known");
        (field, from)
    }

    fn answer(part_no: &str, interchangeable: bool, new_number: bool, words: &str) -> LevelAnswer {
        LevelAnswer { part_no: part_no.into(), interchangeable, new_number, words: words.into() }
    }

    fn renumbered(field: &Field, climb: &Climb) -> Vec<String> {
        let new = climb.levels.iter().filter(|level| level.proposed == Some(true));
        new.map(|level| field.part_names[level.part].to_owned()).collect()
    }

    /// MIL-STD-100G 406.13, read literally on our own tree: the keeper no longer exchanges, the chest strap still
    /// does; keeper and chest strap get new numbers, the harness keeps its own.
    #[test]
    fn a_new_number_climbs_up_to_and_including_the_level_where_old_and_new_exchange_again() {
        let (field, from) = tree();
        let answers =
            [answer(KEEPER, false, true, "wider slot"), answer(STRAP, true, true, "fits as before")];
        let found = climb(&field, from, &answers);
        assert_eq!(renumbered(&field, &found), [KEEPER, STRAP]);
        assert!(found.is_whole() && found.never_restored.is_empty());
        assert_eq!(check(&field, from, &answers), Ok(()));
    }

    /// The same paragraph: an interchangeable change is a revision of the same number.
    #[test]
    fn an_interchangeable_part_keeps_its_number_and_nothing_above_is_asked() {
        let (field, from) = tree();
        let found = climb(&field, from, &[answer(KEEPER, true, false, "")]);
        assert_eq!((found.levels.len(), found.levels[0].proposed), (1, Some(false)));
        assert!(found.is_whole());
    }

    #[test]
    fn an_unanswered_level_is_reached_and_holds_up_what_is_above_it() {
        let (field, from) = tree();
        let none = climb(&field, from, &[]);
        assert_eq!((none.levels.len(), none.levels[0].proposed), (1, None));
        let found = climb(&field, from, &[answer(KEEPER, false, true, "wider slot")]);
        let open: Vec<&str> = found.open().map(|level| &field.part_names[level.part]).collect();
        assert_eq!(open, [STRAP]);
        assert!(!found.is_whole());
    }

    #[test]
    fn where_no_level_restores_it_the_end_item_says_so() {
        let (field, from) = tree();
        let answers = [KEEPER, STRAP, HARNESS].map(|part_no| answer(part_no, false, true, "no"));
        let found = climb(&field, from, &answers);
        assert_eq!(renumbered(&field, &found), [KEEPER, STRAP, HARNESS]);
        assert_eq!(found.never_restored, [field.part_names.find(HARNESS).expect("known")]);
    }

    #[test]
    fn a_decision_against_the_rule_wants_words() {
        let (field, from) = tree();
        let lower = |words: &str| [answer(KEEPER, false, true, "wider"), answer(STRAP, true, false, words)];
        let refused = check(&field, from, &lower("")).expect_err("no words");
        assert_eq!((refused.0.as_str(), refused.1.field), (STRAP, "words"));
        assert_eq!(check(&field, from, &lower("our practice stops one level lower")), Ok(()));
    }
}
