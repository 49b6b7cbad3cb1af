//! The form of the prediction: what share of the failures is left, on what evidence.

use domain::change_record::{Prediction, PredictionBasis};
use store::RecordEdit;

use super::typed::{Block, Typed};
use crate::pages::changes::load::Loaded;
use crate::view::{Ask, Choice, Choices, Faults};

const RATIOS: [(&str, &str); 3] =
    [("ratio_low", "Low end"), ("ratio_best", "Best guess"), ("ratio_high", "High end")];

pub(super) fn kept(loaded: &Loaded) -> Typed {
    let Some(p) = loaded.record.body.as_ref().and_then(|body| body.prediction.as_ref()) else {
        return Typed::default();
    };
    Typed::default()
        .with("basis", p.basis.word())
        .with("ratio_low", p.ratio_low.to_string())
        .with("ratio_best", p.ratio_best.to_string())
        .with("ratio_high", p.ratio_high.to_string())
        .with("prediction_source", &p.source)
}

/// The form with the figures of a suggestion, which the engineer may alter before it is kept.
pub(super) fn taken(loaded: &Loaded, at: usize) -> Option<Typed> {
    let one = loaded.whole().suggested.into_iter().nth(at)?;
    let given: Vec<String> = one.given.iter().map(|(what, said)| format!("{what}: {said}.")).collect();
    let rounded = |share: f64| format!("{share:.4}");
    Some(
        Typed::default()
            .with("basis", one.basis.word())
            .with("ratio_low", rounded(one.low))
            .with("ratio_best", rounded(one.ratio))
            .with("ratio_high", rounded(one.high))
            .with("prediction_source", format!("{}. {}", one.from, given.join(" "))),
    )
}

pub(super) fn blocks(loaded: &Loaded, typed: &Typed, faults: &Faults) -> Vec<Block> {
    let options = PredictionBasis::ALL.iter().map(|basis| {
        let says = match basis {
            PredictionBasis::Bench => "A comparison on the bench",
            PredictionBasis::Strength => "Strength on the bench, against loads in use",
            PredictionBasis::Cycles => "Cycles to failure on the bench",
            PredictionBasis::Retained => "Strength retained after wear, on the bench",
            PredictionBasis::Pilot => "Pilot lots in the field",
            PredictionBasis::Judged => "A judged range, marked as judgement",
        };
        Choice::new(basis.word(), says, typed.text("basis") == basis.word())
    });
    let mut blocks = vec![
        Block::says(
            "A share of 0.4 means that of ten failures before, four are left. The rate before and this share give \
             the rate after, the uncertainty of both carried through.",
        ),
        Choices::one("basis", "It rests on", options.collect()).problem(faults.of("basis")).into(),
    ];
    let ratio = |(field, label): (&'static str, &'static str)| {
        Ask::text(field, format!("{label} of the share left"), typed.text(field))
            .required()
            .problem(faults.of(field))
            .into()
    };
    blocks.extend(RATIOS.map(ratio));
    let bench = loaded.view().bench.len();
    let hint = match bench {
        0 => {
            "Tests with their numbers, the laboratory, or who judged. No bench method on record tested both revisions."
        }
        _ => {
            "Tests with their numbers, the laboratory, or who judged. The bench's figures stand beside it in the record."
        }
    };
    blocks.push(
        Ask::lines("prediction_source", "Evidence", typed.text("prediction_source"))
            .hint(hint)
            .problem(faults.of("prediction_source"))
            .into(),
    );
    blocks
}

pub(super) fn read(typed: &Typed) -> Result<RecordEdit, Faults> {
    let mut faults = typed.too_long();
    let basis = typed.text("basis").parse::<PredictionBasis>().ok();
    if basis.is_none() {
        faults.add("basis", "Choose what it rests on.");
    }
    let [low, best, high] = RATIOS.map(|(field, _)| {
        let read: Option<f64> = typed.text(field).parse().ok();
        if read.is_none() {
            let says = if typed.text(field).contains(',') {
                "Write a share with a point, such as 0.4."
            } else {
                "Write a share such as 0.4."
            };
            faults.add(field, says);
        }
        read.unwrap_or(f64::NAN)
    });
    let Some(basis) = basis.filter(|_| faults.is_empty()) else { return Err(faults) };
    let prediction = Prediction {
        basis,
        ratio_low: low,
        ratio_best: best,
        ratio_high: high,
        source: typed.text("prediction_source").to_owned(),
    };
    match prediction.check() {
        Ok(()) => Ok(RecordEdit::Prediction(prediction)),
        Err(problem) if problem.field == "ratio_best" => {
            Err(Faults::one("ratio_best", "The three must rise, from above 0: low, best, high."))
        }
        Err(problem) => {
            Err(Faults::one(problem.field, "Write the evidence: tests, laboratory, or who judged."))
        }
    }
}
