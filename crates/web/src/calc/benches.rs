//! The bench: strength against load, and old against new.

use serde::Deserialize;
use serde_json::Value;
use stats::bench::Comparison;
use stats::strength::{self, Reliability};

use super::answer::answer;
use super::input::{Number, confidence, plain, read};
use super::say::{at, limits, number};
use super::{Answer, CalcError, Method};

pub(super) const METHODS: [Method; 2] = [
    Method {
        name: "stress_strength",
        says: "The chance that strength exceeds load; model is normal (means and sds), lognormal (means and cvs) or \
               weibull_strength_normal_load (strength_shape, strength_scale, load_mean, load_sd).",
        example: r#"{"model": "normal", "strength_mean": 60, "strength_sd": 5, "load_mean": 40, "load_sd": 6}"#,
        run: stress_strength,
    },
    Method {
        name: "welch_fieller",
        says: "Whether the new design y differs from the old x on the bench: difference (Welch) and ratio (Fieller) of means.",
        example: r#"{"x": [41.2, 39.8, 43.1, 40.7], "y": [46.0, 44.9, 48.3, 45.2], "conf": 0.95}"#,
        run: comparison,
    },
];

/// The one input that says which of three shapes it has.
#[derive(Deserialize)]
struct Chosen {
    model: Model,
}

#[derive(Clone, Copy, Deserialize)]
#[serde(rename_all = "snake_case")]
enum Model {
    Normal,
    Lognormal,
    WeibullStrengthNormalLoad,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct NormalInput {
    #[serde(rename = "model")]
    _model: Model,
    strength_mean: Number,
    strength_sd: Number,
    load_mean: Number,
    load_sd: Number,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct LognormalInput {
    #[serde(rename = "model")]
    _model: Model,
    strength_mean: Number,
    strength_cv: Number,
    load_mean: Number,
    load_cv: Number,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WeibullInput {
    #[serde(rename = "model")]
    _model: Model,
    strength_shape: Number,
    strength_scale: Number,
    load_mean: Number,
    load_sd: Number,
    /// A remark; changes nothing.
    #[serde(rename = "note")]
    _note: Option<String>,
}

fn stress_strength(input: &Value) -> Result<Answer, CalcError> {
    match read::<Chosen>(input)?.model {
        Model::Normal => {
            let i: NormalInput = read(input)?;
            let found = strength::normal((i.strength_mean.0, i.strength_sd.0), (i.load_mean.0, i.load_sd.0))?;
            Ok(holds(answer! { "z": found.z }, found))
        }
        Model::Lognormal => {
            let i: LognormalInput = read(input)?;
            let (strong, load) = ((i.strength_mean.0, i.strength_cv.0), (i.load_mean.0, i.load_cv.0));
            let found = strength::lognormal(strong, load)?;
            let margin = strength::ln_median_margin(strong, load)?;
            Ok(holds(answer! { "z": found.z, "median_safety_margin": margin }, found))
        }
        Model::WeibullStrengthNormalLoad => {
            let i: WeibullInput = read(input)?;
            let strong = (i.strength_scale.0, i.strength_shape.0);
            Ok(holds(Answer::default(), strength::weibull_normal(strong, (i.load_mean.0, i.load_sd.0))?))
        }
    }
}

fn holds(mut out: Answer, found: Reliability) -> Answer {
    out.put("reliability", found.holds);
    out.put("unreliability", found.fails);
    let rate = number(1000.0 * found.fails);
    out.saying(format!("Of 1,000 loads {rate} exceed the strength."))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ComparisonInput {
    x: Vec<Number>,
    y: Vec<Number>,
    conf: Number,
}

fn comparison(input: &Value) -> Result<Answer, CalcError> {
    let i: ComparisonInput = read(input)?;
    let conf = confidence(i.conf)?;
    let both = Comparison::new(&plain(&i.x), &plain(&i.y))?;
    let (difference, fieller, log) =
        (both.difference_limits(conf), both.ratio_limits(conf), both.ln_ratio_limits(conf));
    let mut out = answer! {
        "mean_x": both.old_mean(), "mean_y": both.new_mean(), "diff": both.difference(), "se": both.standard_error(),
        "df": both.freedom(), "t": both.t(), "p_two_sided": both.p_value(),
    };
    out.put_limits("diff", Some(difference), ["_lower", "_upper"]);
    out.put("ratio", both.ratio());
    out.put("fieller_g", both.g(conf));
    out.put_limits("fieller", fieller, ["_lower", "_upper"]);
    out.put_limits("log_ratio", log, ["_lower", "_upper"]);
    out.put(
        "note",
        fieller.is_none().then_some("denominator not significantly different from 0: unbounded set"),
    );
    Ok(out.saying(format!(
        "The new mean is {} above the old ({}, {}).",
        number(both.difference()),
        limits(difference),
        at(conf)
    )))
}
