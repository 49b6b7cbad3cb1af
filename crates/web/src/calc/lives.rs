//! Life distributions: a fit, a fit with the shape assumed, and two samples compared.

use serde::Deserialize;
use serde_json::Value;
use stats::life::fixed_shape::FixedShape;
use stats::life::two_samples::{RatioTest, TwoSamples};
use stats::life::{Fit, Model, fit};
use stats::lifetimes::{Life, Lifetimes};
use stats::{Confidence, Interval, Probability, StatsError};

use super::answer::answer;
use super::input::{Number, confidence, one, read, within, zero};
use super::say::{at, limits, number, percent_in_full};
use super::{Answer, CalcError, Method};

pub(super) const METHODS: [Method; 3] = [
    Method {
        name: "life_mle",
        says: "A life distribution (exponential, weibull, lognormal) fitted to exact, right, left and interval lives, with \
               Wald and profile limits and the age by which bp_fraction have failed.",
        example: r#"{"dist": "weibull", "conf": 0.9, "bp_fraction": 0.1, "observations": [{"kind": "exact", "lo": 310, "hi": 310}, {"kind": "exact", "lo": 480, "hi": 480}, {"kind": "right", "lo": 600, "hi": null, "w": 6}]}"#,
        run: life_mle,
    },
    Method {
        name: "fixed_shape",
        says: "Weibull life with the shape assumed, which gives a lower limit even without failures.",
        example: r#"{"fixed_shape": 2, "conf": 0.9, "units": [{"t": 410, "failed": true, "w": 1}, {"t": 600, "failed": false, "w": 12}]}"#,
        run: fixed_shape,
    },
    Method {
        name: "weibull_two_sample",
        says: "Whether two samples of lives share shape and scale, and the ratio of the second's life to the first's.",
        example: r#"{"conf": 0.9, "sample1": [{"kind": "exact", "lo": 310, "hi": 310}, {"kind": "exact", "lo": 420, "hi": 420}, {"kind": "right", "lo": 500, "hi": null, "w": 3}], "sample2": [{"kind": "exact", "lo": 520, "hi": 520}, {"kind": "exact", "lo": 690, "hi": 690}, {"kind": "right", "lo": 900, "hi": null, "w": 3}]}"#,
        run: two_samples,
    },
];

#[derive(Clone, Copy, Deserialize)]
#[serde(rename_all = "lowercase")]
enum Kind {
    Exact,
    Right,
    Left,
    Interval,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Observation {
    kind: Kind,
    lo: Number,
    hi: Option<Number>,
    #[serde(default = "one")]
    w: Number,
    #[serde(default = "zero")]
    entry: Number,
}

fn lifetimes(observations: &[Observation]) -> Result<Lifetimes, CalcError> {
    for o in observations {
        within("w", o.w.0, 1e-12, 1e12)?;
    }
    Ok(Lifetimes::new(observations.iter().map(|o| {
        // Without an upper age the library refuses the life and says which.
        let high = o.hi.map_or(f64::INFINITY, |age| age.0);
        let life = match o.kind {
            Kind::Exact => Life::failed(o.lo.0),
            Kind::Right => Life::survived(o.lo.0),
            Kind::Left => Life::failed_before(high),
            Kind::Interval => Life::failed_between(o.lo.0, high),
        };
        life.watched_from(o.entry.0).times(o.w.0)
    }))?)
}

/// The laws of life by the names that inputs give them.
#[derive(Clone, Copy, Deserialize)]
#[serde(rename_all = "lowercase")]
pub(super) enum Family {
    Exponential,
    Weibull,
    Lognormal,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct FitInput {
    dist: Family,
    conf: Number,
    bp_fraction: Number,
    /// Where the data are from; changes nothing.
    #[serde(rename = "data_ref")]
    _data_ref: Option<String>,
    observations: Vec<Observation>,
}

fn life_mle(input: &Value) -> Result<Answer, CalcError> {
    let i: FitInput = read(input)?;
    let (conf, share) = (confidence(i.conf)?, Probability::new(i.bp_fraction.0)?);
    let model = match i.dist {
        Family::Exponential => Model::Exponential,
        Family::Weibull => Model::Weibull,
        Family::Lognormal => Model::Lognormal,
    };
    let fitted = match fit(&lifetimes(&i.observations)?, model) {
        Ok(fitted) => fitted,
        Err(none) => {
            return Ok(
                answer! { "status": "no_mle" }.saying(format!("No estimate exists: {}.", none.reason()))
            );
        }
    };
    let mut out = answer! { "status": "ok" };
    match i.dist {
        Family::Exponential => exponential(&mut out, &fitted, conf),
        Family::Weibull => weibull(&mut out, &fitted, conf),
        Family::Lognormal => lognormal(&mut out, &fitted, conf),
    }
    let (quantile, wald) = (fitted.distribution().quantile(share), fitted.quantile_wald(share, conf));
    out.put("bp", quantile);
    out.put("se_log_bp", fitted.quantile_ln_standard_error(share));
    out.put_limits("bp", Some(wald), WALD);
    let mut around = wald;
    if model != Model::Exponential {
        around = fitted.quantile_limits(share, conf);
        out.put_limits("bp", Some(around), PROFILE);
        out.put("mean", fitted.distribution().mean());
    }
    out.put("loglik", fitted.log_likelihood());
    out.put("aic", fitted.aic());
    Ok(out.saying(format!(
        "{} have failed by an age of {} ({}, {}).",
        percent_in_full(share.value()),
        number(quantile),
        limits(around),
        at(conf)
    )))
}

const WALD: [&str; 2] = ["_wald_lower", "_wald_upper"];
const PROFILE: [&str; 2] = ["_prof_lower", "_prof_upper"];

fn exponential(out: &mut Answer, fitted: &Fit, conf: Confidence) {
    out.put("theta", fitted.distribution().scale());
    out.put("se_log_theta", fitted.covariance().mu.sqrt());
    out.put_limits("theta", Some(fitted.scale_wald(conf)), WALD);
    out.put_limits("theta", Some(fitted.scale_limits(conf)), PROFILE);
}

fn weibull(out: &mut Answer, fitted: &Fit, conf: Confidence) {
    let (d, c) = (fitted.distribution(), fitted.covariance());
    out.put("eta", d.scale());
    out.put("beta", d.shape());
    out.put("se_log_eta", c.mu.sqrt());
    out.put("se_log_beta", c.ln_sigma.sqrt());
    // The shape is the inverse of the spread, so that its logarithm has the other sign.
    out.put("cov_log_eta_log_beta", -c.both);
    out.put_limits("eta", Some(fitted.scale_wald(conf)), WALD);
    out.put_limits("beta", Some(fitted.shape_wald(conf)), WALD);
    out.put_limits("eta", Some(fitted.scale_limits(conf)), PROFILE);
    out.put_limits("beta", Some(fitted.shape_limits(conf)), PROFILE);
}

fn lognormal(out: &mut Answer, fitted: &Fit, conf: Confidence) {
    let (d, c) = (fitted.distribution(), fitted.covariance());
    out.put("mu", d.mu());
    out.put("sigma", d.sigma());
    out.put("se_mu", c.mu.sqrt());
    out.put("se_log_sigma", c.ln_sigma.sqrt());
    out.put("cov_mu_log_sigma", c.both);
    // The library speaks of scale and shape: mu is the scale's logarithm, sigma the shape's inverse.
    let logs = |i: Interval| Some(Interval { low: i.low.ln(), high: i.high.ln() });
    let inverse = |i: Interval| Some(Interval { low: i.high.recip(), high: i.low.recip() });
    out.put_limits("mu", logs(fitted.scale_wald(conf)), WALD);
    out.put_limits("sigma", inverse(fitted.shape_wald(conf)), WALD);
    out.put_limits("mu", logs(fitted.scale_limits(conf)), PROFILE);
    out.put_limits("sigma", inverse(fitted.shape_limits(conf)), PROFILE);
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Unit {
    t: Number,
    failed: bool,
    #[serde(default = "one")]
    w: Number,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct FixedInput {
    fixed_shape: Number,
    conf: Number,
    units: Vec<Unit>,
}

fn fixed_shape(input: &Value) -> Result<Answer, CalcError> {
    let i: FixedInput = read(input)?;
    let (conf, tenth) = (confidence(i.conf)?, Probability::new(0.1)?);
    let lives = Lifetimes::new(i.units.iter().map(|unit| {
        let life = if unit.failed { Life::failed(unit.t.0) } else { Life::survived(unit.t.0) };
        life.times(unit.w.0)
    }))?;
    let found = FixedShape::new(&lives, i.fixed_shape.0)?;
    let lower = found.quantile_lower(tenth, conf);
    Ok(answer! {
        "failures": found.failures(), "sum_t_beta": found.use_total(), "eta_hat": found.scale(),
        "eta_lower1": found.scale_lower(conf), "b10_lower1": lower, "b10_hat": found.quantile(tenth),
    }
    .saying(format!("One in ten has failed by an age of {} or later ({}).", number(lower), at(conf))))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct TwoInput {
    sample1: Vec<Observation>,
    sample2: Vec<Observation>,
    conf: Number,
}

fn two_samples(input: &Value) -> Result<Answer, CalcError> {
    let i: TwoInput = read(input)?;
    let conf = confidence(i.conf)?;
    let two = TwoSamples::new(&lifetimes(&i.sample1)?, &lifetimes(&i.sample2)?).map_err(StatsError::from)?;
    let (first, second) = (two.first.distribution(), two.second.distribution());
    let (apart, tenth) = (two.scale_ratio(conf), two.quantile_ratio(Probability::new(0.1)?, conf));
    let mut out = answer! {
        "eta1": first.scale(), "beta1": first.shape(), "eta2": second.scale(), "beta2": second.shape(),
        "loglik1": two.first.log_likelihood(), "loglik2": two.second.log_likelihood(),
        "common_beta": two.common_shape(), "common_eta1": two.common_scales().0, "common_eta2": two.common_scales().1,
        "loglik_common_shape": two.common_log_likelihood(),
    };
    let mut test = |name: &str, test: RatioTest| {
        out.put(format!("lr_{name}"), test.statistic);
        out.put(format!("p_{name}"), test.p_value);
    };
    test("common_shape", two.shape_test());
    test("equal_scale_given_common_shape", two.scale_test());
    test("same_distribution", two.same_test());
    let profile = two.ratio_limits(conf);
    out.put("scale_ratio_common", two.ratio());
    out.put_limits("scale_ratio_common", Some(two.ratio_wald(conf)), WALD);
    out.put_limits("scale_ratio_common", Some(profile), PROFILE);
    out.put("scale_ratio_separate", apart.0);
    out.put_limits("scale_ratio_separate", Some(apart.1), WALD);
    out.put("b10_ratio_separate", tenth.0);
    out.put_limits("b10_ratio_separate", Some(tenth.1), WALD);
    let (ratio, around) = (number(two.ratio()), limits(profile));
    Ok(out.saying(format!("The second sample lasts {ratio} times as long ({around}, {}).", at(conf))))
}
