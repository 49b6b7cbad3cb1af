//! Rates of failure per exposure: one rate, the ratio of two, and how much exposure a comparison needs.

use serde::Deserialize;
use serde_json::Value;
use stats::rate_ratio::{self, Group};
use stats::{Confidence, poisson_rate as rate};

use super::answer::answer;
use super::input::{Count, Number, confidence, exposure, names, read, within};
use super::say::{at, events, limits, number, percent};
use super::{Answer, CalcError, Method};

pub(super) const METHODS: [Method; 3] = [
    Method {
        name: "poisson_rate",
        says: "How often something fails per exposure, and the time between failures, with exact and mid-P limits.",
        example: r#"{"k": 3, "exposure": 1200, "conf": 0.9}"#,
        run: poisson_rate,
    },
    Method {
        name: "rate_ratio",
        says: "Whether one rate is higher than another: their ratio with exact and mid-P limits, and tests of it.",
        example: r#"{"x1": 9, "t1": 400, "x2": 4, "t2": 600, "ratio0": 1, "conf": 0.95}"#,
        run: ratio,
    },
    Method {
        name: "rate_ratio_power",
        says: "The chance that a comparison of two rates shows a difference, or the exposure it needs; give rate1, t1, \
               rate2, t2 for the chance, rate2, ratio, t2_over_t1, power for the exposure.",
        example: r#"{"rate2": 0.01, "ratio": 2, "t2_over_t1": 4, "alpha_one_sided": 0.05, "power": 0.8}"#,
        run: ratio_power,
    },
];

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RateInput {
    k: Count,
    exposure: Number,
    conf: Number,
}

fn poisson_rate(input: &Value) -> Result<Answer, CalcError> {
    let i: RateInput = read(input)?;
    let (k, t, conf) = (i.k.0, exposure(i.exposure)?, confidence(i.conf)?);
    let estimate = Group { count: k, exposure: t }.rate();
    let (exact, mid) = (rate::exact(k, t, conf), rate::mid_p(k, t, conf));
    let (upper, lower) = (rate::exact_upper(k, t, conf), rate::exact_lower(k, t, conf));
    let time = rate::mtbf_time_terminated(k, t, conf);
    let failure = rate::mtbf_failure_terminated(k, t, conf);
    let mtbf = answer! {
        "mtbf_hat": estimate.recip(),
        "time_terminated_lower2": time.low, "time_terminated_upper2": time.high,
        "time_terminated_lower1": upper.recip(), "time_terminated_upper1": lower.recip(),
        "failure_terminated_lower2": failure.map(|i| i.low), "failure_terminated_upper2": failure.map(|i| i.high),
        "failure_terminated_lower1": rate::mtbf_failure_terminated_lower(k, t, conf),
    };
    Ok(answer! {
        "rate": estimate,
        "exact_lower2": exact.low, "exact_upper2": exact.high, "exact_lower1": lower, "exact_upper1": upper,
        "midp_lower2": mid.low, "midp_upper2": mid.high,
        "midp_lower1": rate::mid_p_lower(k, t, conf), "midp_upper1": rate::mid_p_upper(k, t, conf),
        "mtbf": mtbf,
    }
    .saying(format!(
        "{} per 1,000 ({}, exact, {}), {} in {} of exposure.",
        number(1000.0 * estimate),
        limits(exact.scaled(1000.0)),
        at(conf),
        events(k),
        number(t.value()),
    )))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RatioInput {
    x1: Count,
    t1: Number,
    x2: Count,
    t2: Number,
    ratio0: Number,
    conf: Number,
}

fn ratio(input: &Value) -> Result<Answer, CalcError> {
    let i: RatioInput = read(input)?;
    let one = Group { count: i.x1.0, exposure: exposure(i.t1)? };
    let two = Group { count: i.x2.0, exposure: exposure(i.t2)? };
    let conf = confidence(i.conf)?;
    let test = rate_ratio::test(one, two, i.ratio0.0)?;
    let (exact, mid) = (rate_ratio::ratio(one, two, conf), rate_ratio::ratio_mid_p(one, two, conf));
    Ok(answer! {
        "rate_ratio": exact.estimate,
        "p_one_sided_greater": test.greater, "p_one_sided_less": test.less,
        "p_two_sided_doubled": test.doubled, "p_two_sided_minlike": test.minlike, "p_midp_two_sided": test.mid_p,
        "ci_exact_lower2": exact.low, "ci_exact_upper2": exact.high,
        "ci_midp_lower2": mid.low, "ci_midp_upper2": mid.high,
        "ci_exact_lower1": rate_ratio::ratio_lower(one, two, conf),
        "ci_exact_upper1": rate_ratio::ratio_upper(one, two, conf),
    }
    .saying(format!(
        "The first rate is {} times the second ({}, exact, {}); chance of data this far from {} is {}.",
        number(exact.estimate),
        limits(stats::Interval { low: exact.low, high: exact.high }),
        at(conf),
        number(i.ratio0.0),
        number(test.doubled),
    )))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PowerInput {
    rate1: Number,
    t1: Number,
    rate2: Number,
    t2: Number,
    alpha_one_sided: Number,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PlanInput {
    rate2: Number,
    ratio: Number,
    t2_over_t1: Number,
    alpha_one_sided: Number,
    power: Number,
}

/// The confidence of a one-sided test at a risk.
fn against(risk: Number) -> Result<Confidence, CalcError> {
    if risk.0 > 0.0 && risk.0 < 1.0 {
        return Ok(Confidence::new(1.0 - risk.0)?);
    }
    Err(CalcError::input(format!(
        "alpha_one_sided is {} but must be above 0 and below 1, such as 0.05",
        risk.0
    )))
}

fn ratio_power(input: &Value) -> Result<Answer, CalcError> {
    if names(input, "rate1") {
        let i: PowerInput = read(input)?;
        let (t1, t2) = (exposure(i.t1)?, exposure(i.t2)?);
        let power = rate_ratio::power(i.rate1.0, t1, i.rate2.0, t2, against(i.alpha_one_sided)?)?;
        return Ok(answer! { "power_exact_conditional": power }
            .saying(format!("The comparison shows the difference with a chance of {}.", percent(power))));
    }
    let i: PlanInput = read(input)?;
    let conf = against(i.alpha_one_sided)?;
    let ratio = within("ratio", i.ratio.0, 1e-3, 1e3)?;
    let plan = rate_ratio::exposure_needed(i.rate2.0, ratio, i.t2_over_t1.0, conf, i.power.0)?;
    Ok(answer! {
        "t1_log_ratio": plan.log_form, "t1_sqrt": plan.square_root_form,
        "events_total_at_t1_log_ratio": plan.events_at_log_form,
        "exact_power_at_t1_log_ratio": plan.power_at_log_form,
        "exact_power_at_t1_sqrt": plan.power_at_square_root_form,
    }
    .saying(format!(
        "The first group needs an exposure of {} by the exact test ({} by the square-root form, {} by the log form).",
        number(plan.exact),
        number(plan.square_root_form),
        number(plan.log_form),
    )))
}
