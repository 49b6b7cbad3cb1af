//! Reference cases of lifetimes: fits, assumed shapes, two samples.

use super::{confidence, number};
use serde_json::{Map, Value, json};
use stats::life::fixed_shape::FixedShape;
use stats::life::two_samples::{RatioTest, TwoSamples};
use stats::life::{Model, fit};
use stats::lifetimes::{Life, Lifetimes};
use stats::{Interval, Probability};

pub(crate) fn rows<'a>(input: &'a Value, name: &str) -> impl Iterator<Item = &'a Value> {
    input[name].as_array().expect("a list").iter()
}

fn lifetimes(input: &Value, name: &str) -> Lifetimes {
    let lives = rows(input, name).map(|o| {
        let (low, high) = (number(o, "lo"), number(o, "hi"));
        let life = match o["kind"].as_str().expect("a kind") {
            "exact" => Life::failed(low),
            "right" => Life::survived(low),
            "left" => Life::failed_before(high),
            _ => Life::failed_between(low, high),
        };
        life.watched_from(number(o, "entry")).times(number(o, "w"))
    });
    Lifetimes::new(lives).expect("lives")
}

fn limits(out: &mut Map<String, Value>, name: &str, kind: &str, found: Interval) {
    out.insert(format!("{name}_{kind}_lower"), json!(found.low));
    out.insert(format!("{name}_{kind}_upper"), json!(found.high));
}

pub(super) fn life_mle(input: &Value) -> Value {
    let (conf, tenth) = (confidence(input), Probability::new(number(input, "bp_fraction")).expect("a share"));
    let model = match input["dist"].as_str().expect("a model") {
        "exponential" => Model::Exponential,
        "weibull" => Model::Weibull,
        _ => Model::Lognormal,
    };
    let Ok(fit) = fit(&lifetimes(input, "observations"), model) else {
        return json!({ "status": "no_mle" });
    };
    let (d, c) = (fit.distribution(), fit.covariance());
    let mut out = Map::new();
    let mut put = |name: &str, value: f64| out.insert(name.to_owned(), json!(value));
    put("loglik", fit.log_likelihood());
    put("aic", fit.aic());
    put("mean", d.mean());
    put("bp", d.quantile(tenth));
    put("se_log_bp", fit.quantile_ln_standard_error(tenth));
    put("theta", d.scale());
    put("se_log_theta", c.mu.sqrt());
    put("eta", d.scale());
    put("beta", d.shape());
    put("se_log_eta", c.mu.sqrt());
    put("se_log_beta", c.ln_sigma.sqrt());
    put("cov_log_eta_log_beta", -c.both);
    put("mu", d.mu());
    put("sigma", d.sigma());
    put("se_mu", c.mu.sqrt());
    put("se_log_sigma", c.ln_sigma.sqrt());
    put("cov_mu_log_sigma", c.both);
    out.insert("status".to_owned(), json!("ok"));
    for (kind, scale, shape, quantile) in [
        ("wald", fit.scale_wald(conf), fit.shape_wald(conf), fit.quantile_wald(tenth, conf)),
        ("prof", fit.scale_limits(conf), fit.shape_limits(conf), fit.quantile_limits(tenth, conf)),
    ] {
        limits(&mut out, "theta", kind, scale);
        limits(&mut out, "eta", kind, scale);
        limits(&mut out, "mu", kind, Interval { low: scale.low.ln(), high: scale.high.ln() });
        limits(&mut out, "beta", kind, shape);
        limits(&mut out, "sigma", kind, Interval { low: shape.high.recip(), high: shape.low.recip() });
        limits(&mut out, "bp", kind, quantile);
    }
    Value::Object(out)
}

pub(super) fn fixed_shape(input: &Value) -> Value {
    let units = rows(input, "units").map(|u| {
        let age = number(u, "t");
        let life =
            if u["failed"].as_bool().expect("a flag") { Life::failed(age) } else { Life::survived(age) };
        life.times(number(u, "w"))
    });
    let lives = Lifetimes::new(units).expect("lives");
    let found = FixedShape::new(&lives, number(input, "fixed_shape")).expect("a sum");
    let (conf, tenth) = (confidence(input), Probability::new(0.1).expect("a share"));
    json!({
        "failures": found.failures(), "sum_t_beta": found.use_total(), "eta_hat": found.scale(),
        "eta_lower1": found.scale_lower(conf), "b10_lower1": found.quantile_lower(tenth, conf),
        "b10_hat": found.quantile(tenth),
    })
}

pub(super) fn weibull_two_sample(input: &Value) -> Value {
    let conf = confidence(input);
    let two = TwoSamples::new(&lifetimes(input, "sample1"), &lifetimes(input, "sample2")).expect("two fits");
    let (first, second) = (two.first.distribution(), two.second.distribution());
    let (apart, b10) =
        (two.scale_ratio(conf), two.quantile_ratio(Probability::new(0.1).expect("a share"), conf));
    let mut out = Map::new();
    let mut put = |name: &str, value: f64| out.insert(name.to_owned(), json!(value));
    put("eta1", first.scale());
    put("beta1", first.shape());
    put("eta2", second.scale());
    put("beta2", second.shape());
    put("loglik1", two.first.log_likelihood());
    put("loglik2", two.second.log_likelihood());
    put("common_beta", two.common_shape());
    put("common_eta1", two.common_scales().0);
    put("common_eta2", two.common_scales().1);
    put("loglik_common_shape", two.common_log_likelihood());
    let mut test = |lr: &str, p: &str, test: RatioTest| {
        put(lr, test.statistic);
        put(p, test.p_value);
    };
    test("lr_common_shape", "p_common_shape", two.shape_test());
    test("lr_equal_scale_given_common_shape", "p_equal_scale_given_common_shape", two.scale_test());
    test("lr_same_distribution", "p_same_distribution", two.same_test());
    put("scale_ratio_common", two.ratio());
    put("scale_ratio_separate", apart.0);
    put("b10_ratio_separate", b10.0);
    limits(&mut out, "scale_ratio_common", "wald", two.ratio_wald(conf));
    limits(&mut out, "scale_ratio_common", "prof", two.ratio_limits(conf));
    limits(&mut out, "scale_ratio_separate", "wald", apart.1);
    limits(&mut out, "b10_ratio_separate", "wald", b10.1);
    Value::Object(out)
}
