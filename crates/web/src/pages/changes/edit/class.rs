//! The form of the class check list: the questions that the program can't answer by itself.

use domain::class::Criterion;
use store::{CriterionAnswer, RecordEdit};

use super::typed::{Block, Typed};
use crate::pages::changes::load::Loaded;
use crate::view::{Ask, Choice, Choices, Faults};

fn names(criterion: &str) -> (String, String) {
    let id = criterion.replace(' ', "-");
    (id.clone(), format!("{id}-reason"))
}

/// What a person is asked.
fn asked(loaded: &Loaded) -> Vec<Criterion> {
    let known = loaded.view().criteria.into_iter().filter(|line| line.by_program);
    let known: Vec<&str> = known.map(|line| line.criterion).collect();
    Criterion::ALL.iter().copied().filter(|criterion| !known.contains(&criterion.word())).collect()
}

pub(super) fn kept(loaded: &Loaded) -> Typed {
    loaded.record.criteria.iter().fold(Typed::default(), |typed, answer| {
        let (touched, reason) = names(answer.criterion.word());
        typed
            .with(touched, if answer.touched { "yes" } else { "no" })
            .with_some(reason, answer.reason.as_ref())
    })
}

pub(super) fn blocks(loaded: &Loaded, typed: &Typed, faults: &Faults) -> Vec<Block> {
    let mut blocks =
        vec![Block::says("One yes makes it class I: the board decides. Without any it is class II.")];
    let asked = asked(loaded);
    for line in loaded.view().criteria.into_iter().filter(|line| line.by_program) {
        let answer = if line.touched == Some(true) { "Yes" } else { "No" };
        blocks.push(Block::says(format!("{} {answer}; the program knows this by itself.", line.question)));
    }
    for criterion in asked {
        let (touched, reason) = names(criterion.word());
        let options = [("yes", "Yes"), ("no", "No")];
        let options =
            options.map(|(word, label)| Choice::new(word, label, typed.text(&touched) == word)).to_vec();
        let choices = Choices::one(touched.clone(), criterion.question(), options);
        blocks.push(choices.problem(faults.of(&touched)).into());
        let ask = Ask::text(reason.clone(), "Reason", typed.text(&reason));
        blocks.push(ask.problem(faults.of(&reason)).into());
    }
    blocks
}

pub(super) fn read(loaded: &Loaded, typed: &Typed) -> Result<RecordEdit, Faults> {
    let mut faults = typed.too_long();
    let mut answers = Vec::new();
    for criterion in asked(loaded) {
        let (touched, reason) = names(criterion.word());
        let reason_given = typed.filled(&reason);
        match typed.text(&touched) {
            "" => {}
            "yes" if reason_given.is_none() => {
                faults.add(&reason, "A yes needs its reason: it decides the class.");
            }
            word @ ("yes" | "no") => {
                answers.push(CriterionAnswer { criterion, touched: word == "yes", reason: reason_given });
            }
            _ => faults.add(&touched, "Choose yes or no."),
        }
    }
    if faults.is_empty() { Ok(RecordEdit::Criteria(answers)) } else { Err(faults) }
}
