//! Agreement: two people sorting the same reports, and a grouping held against the true one.

use serde::Deserialize;
use serde_json::Value;
use stats::{agreement, grouping};

use super::answer::answer;
use super::input::read;
use super::say::number;
use super::words::Label;
use super::{Answer, CalcError, Method};

pub(super) const METHODS: [Method; 2] = [
    Method {
        name: "kappa",
        says: "How far two people who sorted the same things agree beyond chance (Cohen's kappa).",
        example: r#"{"a": ["seam", "zip", "seam", "tube"], "b": ["seam", "zip", "tube", "tube"]}"#,
        run: kappa,
    },
    Method {
        name: "clustering",
        says: "How well a grouping found (pred) meets the true one (true): pairs, Rand and B-cubed.",
        example: r#"{"true": [1, 1, 2, 2, 3], "pred": [1, 1, 2, 3, 3]}"#,
        run: clustering,
    },
];

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct KappaInput {
    a: Vec<Label>,
    b: Vec<Label>,
}

fn kappa(input: &Value) -> Result<Answer, CalcError> {
    let i: KappaInput = read(input)?;
    let found = agreement::kappa(&i.a, &i.b)?;
    let sentence = format!("They agree on {} in 100.", number(100.0 * found.observed));
    Ok(answer! {
        "p_o": found.observed, "p_e": found.by_chance, "kappa": found.kappa, "se_fleiss": found.standard_error,
    }
    .saying(sentence))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct GroupingInput {
    #[serde(rename = "true")]
    truth: Vec<Label>,
    pred: Vec<Label>,
}

fn clustering(input: &Value) -> Result<Answer, CalcError> {
    let i: GroupingInput = read(input)?;
    let s = grouping::score(&i.truth, &i.pred)?;
    Ok(answer! {
        "pairs_together_both": s.together_both, "pairs_together_true": s.together_true,
        "pairs_together_pred": s.together_found, "pairs_total": s.pairs,
        "pair_precision": s.precision(), "pair_recall": s.recall(), "pair_f1": s.f1(),
        "rand_index": s.rand(), "adjusted_rand": s.adjusted_rand(),
        "bcubed_precision": s.b_cubed_precision, "bcubed_recall": s.b_cubed_recall, "bcubed_f1": s.b_cubed_f1(),
    })
}
