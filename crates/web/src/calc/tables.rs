//! Tables of many cells: shrunken ratios, their fit, false discovery, funnel limits.

use serde::Deserialize;
use serde_json::Value;
use stats::shrinkage::{self, Cell, Fit, Gamma};
use stats::{Confidence, Probability, StatsError, false_discovery, funnel};

use super::answer::answer;
use super::input::{Count, Number, exposure, names, plain, read, within};
use super::say::number;
use super::{Answer, CalcError, Method};

pub(super) const METHODS: [Method; 4] = [
    Method {
        name: "eb_scores",
        says: "A cell's observed over expected, shrunk by a prior of one gamma (alpha, beta) or two (alpha1, beta1, alpha2, \
               beta2, p the share of the first).",
        example: r#"{"n": 5, "expected": 0.8, "alpha": 1.5, "beta": 1.5}"#,
        run: scores,
    },
    Method {
        name: "eb_fit",
        says: "The prior that a whole table of counts and expected counts speaks for; model is one_gamma or two_gamma.",
        example: r#"{"model": "one_gamma", "n": [1, 0, 9, 2, 3, 0, 14], "expected": [2, 1.5, 2.5, 2, 3, 1, 3]}"#,
        run: fit,
    },
    Method {
        name: "bh",
        says: "Which of many comparisons to believe at a false-discovery rate q (Benjamini-Hochberg).",
        example: r#"{"p": [0.001, 0.012, 0.2, 0.04], "q": 0.05}"#,
        run: discoveries,
    },
    Method {
        name: "funnel",
        says: "Control limits around a target rate at an exposure, or how far an observed count lies from it.",
        example: r#"{"target_rate": 0.01, "exposure": 400}"#,
        run: funnel_plot,
    },
];

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct OneInput {
    n: Count,
    expected: Number,
    alpha: Number,
    beta: Number,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct TwoInput {
    n: Count,
    expected: Number,
    alpha1: Number,
    beta1: Number,
    alpha2: Number,
    beta2: Number,
    p: Number,
}

/// A value that the library takes as checked.
fn positive(what: &'static str, value: Number) -> Result<f64, CalcError> {
    within(what, value.0, 1e-300, 1e12)
}

fn scores(input: &Value) -> Result<Answer, CalcError> {
    if names(input, "p") {
        let i: TwoInput = read(input)?;
        let cell = Cell { count: i.n.0, expected: positive("expected", i.expected)? };
        let first = Gamma { shape: positive("alpha1", i.alpha1)?, rate: positive("beta1", i.beta1)? };
        let second = Gamma { shape: positive("alpha2", i.alpha2)?, rate: positive("beta2", i.beta2)? };
        let weight = Probability::new(i.p.0)?.value();
        return Ok(score(cell, &Fit::TwoGammas { first, second, weight, log_likelihood: 0.0 }));
    }
    let i: OneInput = read(input)?;
    let cell = Cell { count: i.n.0, expected: positive("expected", i.expected)? };
    let (shape, rate) = (positive("alpha", i.alpha)?, positive("beta", i.beta)?);
    Ok(score(cell, &Fit::OneGamma { shape, rate, log_likelihood: 0.0 }))
}

fn score(cell: Cell, fit: &Fit) -> Answer {
    let seen = shrinkage::posterior(cell, fit, Confidence::NINETY);
    let mut out = answer! { "rr": cell.count as f64 / cell.expected };
    let share = shrinkage::share_of_first(cell, fit);
    if share.is_some() {
        out.put("q_n", share);
    }
    out.put("post_mean", seen.mean);
    out.put("ebgm", seen.geometric_mean);
    out.put("eb05", seen.low);
    out.put("eb95", seen.high);
    if share.is_none() {
        out.put("prob_gt_1", shrinkage::probability_above(cell, fit, 1.0));
    }
    out.put("prob_gt_2", shrinkage::probability_above(cell, fit, 2.0));
    out.put("log_marginal", shrinkage::log_likelihood(cell, fit));
    out.saying(format!(
        "{} times what is expected once shrunk ({} to {}, at 90\u{a0}% confidence).",
        number(seen.geometric_mean),
        number(seen.low),
        number(seen.high)
    ))
}

#[derive(Clone, Copy, Deserialize)]
#[serde(rename_all = "snake_case")]
enum Model {
    OneGamma,
    TwoGamma,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct FitInput {
    model: Model,
    n: Vec<Count>,
    expected: Vec<Number>,
}

fn fit(input: &Value) -> Result<Answer, CalcError> {
    let i: FitInput = read(input)?;
    let lengths = (i.n.len(), i.expected.len());
    if lengths.0 != lengths.1 {
        return Err(StatsError::LengthsDiffer { first: "counts in n", second: "in expected", lengths }.into());
    }
    let cells: Vec<Cell> =
        i.n.iter().zip(&i.expected).map(|(n, e)| Cell { count: n.0, expected: e.0 }).collect();
    let fit = match i.model {
        Model::OneGamma => shrinkage::fit_one_gamma(&cells)?,
        Model::TwoGamma => shrinkage::fit_two_gammas(&cells)?,
    };
    Ok(match (fit, i.model) {
        (Fit::NoSignal, _) => answer! {
            "status": "boundary",
            "note": "no over-dispersion: alpha,beta -> infinity with ratio fixed",
            "mean_ratio": shrinkage::pooled_ratio(&cells)?,
        },
        (Fit::OneGamma { shape, rate, log_likelihood }, Model::OneGamma) => {
            let shrunk = |&cell: &Cell| shrinkage::posterior(cell, &fit, Confidence::NINETY).geometric_mean;
            answer! {
                "status": "ok", "alpha": shape, "beta": rate, "loglik": log_likelihood,
                "ebgm": cells.iter().map(shrunk).collect::<Vec<_>>(),
            }
        }
        // A second component that gains nothing is told as one without weight.
        (Fit::OneGamma { shape, rate, log_likelihood }, Model::TwoGamma) => answer! {
            "status": "ok", "alpha1": shape, "beta1": rate, "alpha2": None::<f64>, "beta2": None::<f64>, "p": 1.0,
            "loglik": log_likelihood,
        }
        .saying("One gamma distribution says as much as two."),
        (Fit::TwoGammas { first, second, weight, log_likelihood }, _) => answer! {
            "status": "ok", "alpha1": first.shape, "beta1": first.rate, "alpha2": second.shape, "beta2": second.rate,
            "p": weight, "loglik": log_likelihood,
        },
    })
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct DiscoveryInput {
    p: Vec<Number>,
    q: Number,
}

fn discoveries(input: &Value) -> Result<Answer, CalcError> {
    let i: DiscoveryInput = read(input)?;
    let (p, q) = (plain(&i.p), i.q.0);
    let called = false_discovery::called(&p, q)?;
    let count = |calls: &[bool]| calls.iter().filter(|called| **called).count();
    let strict = count(&false_discovery::bonferroni_called(&p, q)?);
    let adjusted = false_discovery::benjamini_hochberg(&p)?;
    let sentence = format!("{} of {} comparisons stand out.", count(&called), p.len());
    Ok(answer! {
        "n_rejected": count(&called), "rejected": called, "adjusted": adjusted, "bonferroni_rejected": strict,
    }
    .saying(sentence))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct LimitsInput {
    target_rate: Number,
    exposure: Number,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ObservedInput {
    observed: Count,
    target_rate: Number,
    exposure: Number,
}

fn funnel_plot(input: &Value) -> Result<Answer, CalcError> {
    if names(input, "observed") {
        let i: ObservedInput = read(input)?;
        let seen = funnel::score(i.observed.0, i.target_rate.0, exposure(i.exposure)?)?;
        return Ok(answer! {
            "smr": seen.ratio, "p_upper_exact": seen.upper, "p_upper_mid": seen.upper_mid_p, "z_mid": seen.z_mid_p,
            "z_sqrt": seen.z_square_root,
        }
        .saying(format!("{} times the target.", number(seen.ratio))));
    }
    let i: LimitsInput = read(input)?;
    let at = exposure(i.exposure)?;
    let limit = |p: f64| -> Result<Answer, CalcError> {
        let limit = funnel::limit(i.target_rate.0, at, Probability::new(p)?)?;
        Ok(answer! { "r": limit.count, "alpha": limit.step_back, "limit_rate": limit.rate })
    };
    Ok(answer! {
        "p025": limit(0.025)?, "p975": limit(0.975)?, "p001": limit(0.001)?, "p999": limit(0.999)?,
    })
}
