//! The form of requirements that no figure answers.

use domain::change_record::{RequirementCheck, Verdict};
use store::{RecordEdit, RequirementAnswer};

use super::typed::{Block, Typed};
use crate::address::segment;
use crate::pages::changes::load::Loaded;
use crate::view::{Ask, Choice, Choices, Faults};

/// What a person is asked, each number once: its answer is for every item and size that has a requirement of this number, so
/// each of them is named.
struct Asked {
    number: String,
    label: String,
}

fn asked(loaded: &Loaded) -> Vec<Asked> {
    let mut asked: Vec<Asked> = Vec::new();
    for line in loaded.view().requirements.into_iter().filter(|line| !line.by_figures) {
        let says = format!("({}) {}", line.item, line.text);
        match asked.iter_mut().find(|other| other.number == line.requirement_no) {
            Some(other) if other.label.ends_with(&says) => {}
            Some(other) => other.label = format!("{}; {says}", other.label),
            None => {
                let label = format!("{} {says}", line.requirement_no);
                asked.push(Asked { number: line.requirement_no, label });
            }
        }
    }
    asked
}

/// Names of the two fields; a blank in a number would make two names of one.
fn names(number: &str) -> (String, String) {
    let key = segment(number);
    (format!("verdict-{key}"), format!("note-{key}"))
}

pub(super) fn kept(loaded: &Loaded) -> Typed {
    loaded.record.answers.iter().fold(Typed::default(), |typed, answer| {
        let (verdict, note) = names(&answer.requirement_no);
        typed.with(verdict, answer.verdict.word()).with_some(note, answer.note.as_ref())
    })
}

pub(super) fn blocks(loaded: &Loaded, typed: &Typed, faults: &Faults) -> Vec<Block> {
    let asked = asked(loaded);
    let says = if asked.is_empty() {
        "Figures answer every requirement of the items concerned, or none is on record."
    } else {
        "Those that figures answer are answered by them and not asked here."
    };
    let mut blocks = vec![Block::says(says)];
    for line in &asked {
        let (verdict, note) = names(&line.number);
        let options = Verdict::ALL.iter().map(|one| {
            let chosen = typed.text(&verdict) == one.word();
            Choice::new(one.word(), one.word(), chosen)
        });
        let label = line.label.clone();
        blocks.push(
            Choices::one(verdict.clone(), label, options.collect()).problem(faults.of(&verdict)).into(),
        );
        let ask = Ask::text(note.clone(), "Why", typed.text(&note)).problem(faults.of(&note));
        blocks.push(ask.into());
    }
    blocks
}

pub(super) fn read(loaded: &Loaded, typed: &Typed) -> Result<RecordEdit, Faults> {
    let mut faults = typed.too_long();
    let mut answers = Vec::new();
    for line in asked(loaded) {
        let (verdict, note) = names(&line.number);
        match typed.text(&verdict) {
            "" => {}
            word => match word.parse() {
                Ok(verdict)
                    if RequirementCheck::check_statement(verdict, Some(typed.text(&note))).is_err() =>
                {
                    faults.add(&note, "Say why it is met: no figure shows it.");
                }
                Ok(verdict) => answers.push(RequirementAnswer {
                    requirement_no: line.number,
                    verdict,
                    note: typed.filled(&note),
                }),
                Err(_) => faults.add(&verdict, "Choose one of the four."),
            },
        }
    }
    if faults.is_empty() { Ok(RecordEdit::Requirements(answers)) } else { Err(faults) }
}
