//! Reference cases of counts: one rate, one chance, demonstration.

use super::{confidence, count, exposure, number, real};
use serde_json::{Value, json};
use stats::{Confidence, Interval, Probability, binomial, poisson_rate as rate, success_run as run};

pub(super) fn poisson_rate(input: &Value) -> Value {
    let (k, t, conf) = (count(input, "k"), exposure(input, "exposure"), confidence(input));
    let (exact, mid) = (rate::exact(k, t, conf), rate::mid_p(k, t, conf));
    let time = rate::mtbf_time_terminated(k, t, conf);
    let failure = rate::mtbf_failure_terminated(k, t, conf);
    let of = |pick: fn(Interval) -> f64| failure.map(pick);
    json!({
        "rate": k as f64 / t.value(),
        "exact_lower2": exact.low, "exact_upper2": exact.high,
        "exact_lower1": rate::exact_lower(k, t, conf), "exact_upper1": rate::exact_upper(k, t, conf),
        "midp_lower2": mid.low, "midp_upper2": mid.high,
        "midp_lower1": rate::mid_p_lower(k, t, conf), "midp_upper1": rate::mid_p_upper(k, t, conf),
        "mtbf": {
            "mtbf_hat": real(t.value() / k as f64),
            "time_terminated_lower2": time.low, "time_terminated_upper2": real(time.high),
            "time_terminated_lower1": 1.0 / rate::exact_upper(k, t, conf),
            "time_terminated_upper1": real(1.0 / rate::exact_lower(k, t, conf)),
            "failure_terminated_lower2": of(|i| i.low), "failure_terminated_upper2": of(|i| i.high),
            "failure_terminated_lower1": rate::mtbf_failure_terminated_lower(k, t, conf),
        },
    })
}

pub(super) fn binomial_ci(input: &Value) -> Value {
    let (x, n, conf) = (count(input, "x"), count(input, "n"), confidence(input));
    let limits =
        |f: fn(u64, u64, Confidence) -> Result<Interval, stats::StatsError>| f(x, n, conf).expect("limits");
    let cp = limits(binomial::clopper_pearson);
    let (wilson, jeffreys, mid) =
        (limits(binomial::wilson), limits(binomial::jeffreys), limits(binomial::mid_p));
    json!({
        "p_hat": x as f64 / n as f64,
        "cp_lower2": cp.low, "cp_upper2": cp.high,
        "cp_lower1": binomial::clopper_pearson_lower(x, n, conf).expect("a limit"),
        "cp_upper1": binomial::clopper_pearson_upper(x, n, conf).expect("a limit"),
        "wilson_lower2": wilson.low, "wilson_upper2": wilson.high,
        "jeffreys_lower2": jeffreys.low, "jeffreys_upper2": jeffreys.high,
        "midp_lower2": mid.low, "midp_upper2": mid.high,
    })
}

pub(super) fn success_run(input: &Value) -> Value {
    let conf = confidence(input);
    if input["failures"].is_u64() {
        let lower = run::demonstrated(count(input, "n"), count(input, "failures"), conf).expect("a limit");
        return json!({ "demonstrated_reliability": lower });
    }
    let reliability = Probability::new(number(input, "reliability")).expect("a probability");
    if input["weibull_shape"].is_number() {
        let (shape, multiple) =
            (number(input, "weibull_shape"), number(input, "test_to_required_life_ratio"));
        let n = run::trials_for_longer_test(reliability, conf, multiple, shape).expect("a number");
        return json!({ "n_real": n, "n": n.ceil() });
    }
    let allowed = count(input, "allowed_failures");
    let n = run::trials_needed(reliability, conf, allowed).expect("a number");
    json!({
        "n": n,
        "consumer_risk_at_n": run::acceptance_risk(reliability, n, allowed),
        "consumer_risk_at_n_minus_1": run::acceptance_risk(reliability, n - 1, allowed),
    })
}
