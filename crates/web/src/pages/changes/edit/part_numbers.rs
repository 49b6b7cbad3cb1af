//! The form of part numbers: at each level whether old and new exchange, and what number follows; signed.

use domain::reidentification::{Climb, Level, LevelAnswer, SOURCE, check, climb};
use store::RecordEdit;

use super::typed::{Block, Typed};
use crate::address::segment;
use crate::pages::changes::load::Loaded;
use crate::view::{Ask, Choice, Choices, Faults};

const LONGEST_NAME: usize = 120;

/// The fields of one part; a blank in a number would make two names of one.
fn names(part_no: &str) -> [String; 3] {
    let key = segment(part_no);
    ["same", "number", "why"].map(|word| format!("{word}-{key}"))
}

pub(super) fn kept(loaded: &Loaded) -> Typed {
    let argued = &loaded.record.argued;
    let levels = climbed(loaded, &argued.levels).map(|climb| climb.levels).unwrap_or_default();
    let typed = argued.levels.iter().fold(Typed::default(), |typed, answer| {
        let [same, number, why] = names(&answer.part_no);
        let of_part = |level: &&Level| part_no(loaded, level) == answer.part_no;
        let by_rule = levels.iter().find(of_part).is_some_and(|level| !level.is_otherwise());
        let word = match answer.new_number {
            _ if by_rule => "rule",
            true => "new",
            false => "keep",
        };
        typed
            .with(same, if answer.interchangeable { "yes" } else { "no" })
            .with(number, word)
            .with(why, &answer.words)
    });
    typed.with_some("signature", argued.levels_signed.as_ref().map(|(name, _)| name))
}

fn part_no<'a>(loaded: &'a Loaded, level: &Level) -> &'a str {
    &loaded.picture.field.part_names[level.part]
}

fn climbed(loaded: &Loaded, answers: &[LevelAnswer]) -> Option<Climb> {
    let (field, change) = (&loaded.picture.field, &loaded.record.change);
    Some(climb(field, field.find_revision(&change.part_no, &change.from_revision)?, answers))
}

/// The levels that the typed answers reach, and the answers on them. The rule's word for a number needs the climb, which
/// needs only whether old and new exchange.
fn answered(loaded: &Loaded, typed: &Typed) -> (Vec<Level>, Vec<LevelAnswer>) {
    let field = &loaded.picture.field;
    let mut answers: Vec<LevelAnswer> = Vec::new();
    for part_no in field.parts.iter().map(|(part, _)| &field.part_names[part]) {
        let [same, number, why] = names(part_no);
        let interchangeable = match typed.text(&same) {
            "yes" => true,
            "no" => false,
            _ => continue,
        };
        let new_number = match typed.text(&number) {
            "new" => true,
            "keep" => false,
            _ if part_no == loaded.record.change.part_no => !interchangeable,
            _ => true,
        };
        let words = typed.text(&why).to_owned();
        answers.push(LevelAnswer { part_no: part_no.to_owned(), interchangeable, new_number, words });
    }
    let levels = climbed(loaded, &answers).map(|climb| climb.levels).unwrap_or_default();
    answers.retain(|answer| levels.iter().any(|level| part_no(loaded, level) == answer.part_no));
    (levels, answers)
}

pub(super) fn blocks(loaded: &Loaded, typed: &Typed, faults: &Faults) -> Vec<Block> {
    let (levels, _) = answered(loaded, typed);
    if levels.is_empty() {
        return vec![Block::says("The books don't know the part yet, so no number can be proposed.")];
    }
    let mut blocks = vec![Block::says(format!(
        "Rule: {SOURCE}. A level that does not exchange leads to the one above it, which is then asked too."
    ))];
    for level in &levels {
        let number = part_no(loaded, level);
        let [same, new, why] = names(number);
        let choice = |field: &str, word: &'static str, says: &'static str| {
            Choice::new(word, says, typed.text(field) == word)
        };
        blocks.push(Block::head(format!("{number}, {}", place(level))));
        let exchange =
            vec![choice(&same, "yes", "Yes, without selection or alteration"), choice(&same, "no", "No")];
        let asks = Choices::one(same.clone(), "Does it exchange with its previous version?", exchange);
        blocks.push(asks.problem(faults.of(&same)).into());
        let by_rule = !matches!(typed.text(&new), "new" | "keep");
        let numbers = vec![
            Choice::new("rule", "As the rule proposes", by_rule),
            choice(&new, "new", "A new number"),
            choice(&new, "keep", "It keeps its number"),
        ];
        blocks.push(Choices::one(new.clone(), "Number", numbers).problem(faults.of(&new)).into());
        let ask = Ask::text(why.clone(), "Why", typed.text(&why));
        blocks.push(ask.problem(faults.of(&why)).into());
    }
    let sign = Ask::text("signature", "Signed (your name)", typed.text("signature")).required();
    blocks.push(sign.problem(faults.of("signature")).into());
    blocks
}

fn place(level: &Level) -> String {
    match level.height {
        0 => "the changed part".to_owned(),
        1 => "next higher assembly".to_owned(),
        height => format!("{height} levels up"),
    }
}

pub(super) fn read(loaded: &Loaded, typed: &Typed) -> Result<RecordEdit, Faults> {
    let mut faults = typed.too_long();
    let (levels, answers) = answered(loaded, typed);
    for level in levels.iter().filter(|level| level.interchangeable.is_none()) {
        faults.add(&names(part_no(loaded, level))[0], "Answer this level too: the change reaches it.");
    }
    let signature = typed.text("signature");
    if signature.is_empty() || signature.chars().count() > LONGEST_NAME {
        faults.add("signature", "Sign with your name: you answer for these numbers.");
    }
    let (field, change) = (&loaded.picture.field, &loaded.record.change);
    if let Some(from) = field.find_revision(&change.part_no, &change.from_revision)
        && let Err((part_no, problem)) = check(field, from, &answers)
    {
        faults.add(&names(&part_no)[2], format!("Please {}.", problem.why));
    }
    if faults.is_empty() {
        Ok(RecordEdit::Levels { answers, signature: signature.to_owned() })
    } else {
        Err(faults)
    }
}
