//! Shares that fail: limits of a share, and how many units a demonstration needs.

use serde::Deserialize;
use serde_json::Value;
use stats::{Confidence, Interval, Probability, StatsError, binomial, success_run as run};

use super::answer::answer;
use super::input::{Count, Number, confidence, names, read};
use super::say::{at, limits, number, units};
use super::{Answer, CalcError, Method};

/// More units than this are refused, as where no test runs longer.
const MOST_UNITS: f64 = 1e15;

pub(super) const METHODS: [Method; 2] = [
    Method {
        name: "binomial_ci",
        says: "Which share fails, with Clopper-Pearson, Wilson, Jeffreys and mid-P limits.",
        example: r#"{"x": 2, "n": 60, "conf": 0.95}"#,
        run: binomial_ci,
    },
    Method {
        name: "success_run",
        says: "How many units a demonstration needs (reliability with allowed_failures, or with weibull_shape and \
               test_to_required_life_ratio), or what a finished one has shown (n with failures).",
        example: r#"{"reliability": 0.95, "conf": 0.9, "allowed_failures": 1}"#,
        run: success_run,
    },
];

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ShareInput {
    x: Count,
    n: Count,
    conf: Number,
}

fn binomial_ci(input: &Value) -> Result<Answer, CalcError> {
    let i: ShareInput = read(input)?;
    let (x, n, conf) = (i.x.0, i.n.0, confidence(i.conf)?);
    let by = |f: fn(u64, u64, Confidence) -> Result<Interval, StatsError>| f(x, n, conf);
    let exact = by(binomial::clopper_pearson)?;
    let (wilson, jeffreys, mid) = (by(binomial::wilson)?, by(binomial::jeffreys)?, by(binomial::mid_p)?);
    let share = x as f64 / n as f64;
    Ok(answer! {
        "p_hat": share,
        "cp_lower2": exact.low, "cp_upper2": exact.high,
        "cp_lower1": binomial::clopper_pearson_lower(x, n, conf)?,
        "cp_upper1": binomial::clopper_pearson_upper(x, n, conf)?,
        "wilson_lower2": wilson.low, "wilson_upper2": wilson.high,
        "jeffreys_lower2": jeffreys.low, "jeffreys_upper2": jeffreys.high,
        "midp_lower2": mid.low, "midp_upper2": mid.high,
    }
    .saying(format!(
        "{} in 100 ({}, exact, {}), {} of {}.",
        number(100.0 * share),
        limits(exact.scaled(100.0)),
        at(conf),
        crate::format::count(x),
        crate::format::count(n),
    )))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ShownInput {
    n: Count,
    failures: Count,
    conf: Number,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct LongerInput {
    reliability: Number,
    conf: Number,
    weibull_shape: Number,
    test_to_required_life_ratio: Number,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct TrialsInput {
    reliability: Number,
    conf: Number,
    allowed_failures: Count,
}

fn success_run(input: &Value) -> Result<Answer, CalcError> {
    if names(input, "failures") {
        let i: ShownInput = read(input)?;
        let conf = confidence(i.conf)?;
        let shown = run::demonstrated(i.n.0, i.failures.0, conf)?;
        return Ok(answer! { "demonstrated_reliability": shown }.saying(format!(
            "The test shows a reliability of at least {}, {}.",
            number(shown),
            at(conf)
        )));
    }
    if names(input, "weibull_shape") {
        let i: LongerInput = read(input)?;
        let (wanted, conf) = (Probability::new(i.reliability.0)?, confidence(i.conf)?);
        let (multiple, shape) = (i.test_to_required_life_ratio.0, i.weibull_shape.0);
        let n = run::trials_for_longer_test(wanted, conf, multiple, shape)?;
        if n > MOST_UNITS {
            let (what, accepted) = ("number of units needed", "at most 1e15");
            return Err(StatsError::OutOfRange { what, value: n, accepted }.into());
        }
        return Ok(answer! { "n_real": n, "n": n.ceil() }.saying(format!(
            "{} must pass the longer test, {}.",
            units(n.ceil() as u64),
            at(conf)
        )));
    }
    let i: TrialsInput = read(input)?;
    let (wanted, conf, allowed) =
        (Probability::new(i.reliability.0)?, confidence(i.conf)?, i.allowed_failures.0);
    let n = run::trials_needed(wanted, conf, allowed)?;
    Ok(answer! {
        "n": n,
        "consumer_risk_at_n": run::acceptance_risk(wanted, n, allowed),
        "consumer_risk_at_n_minus_1": run::acceptance_risk(wanted, n - 1, allowed),
    }
    .saying(format!("{} must be tested with at most {} failing, {}.", units(n), allowed, at(conf))))
}
