//! Reference cases of repeated repairs: mean cumulative function and power-law process.

use super::lives::rows;
use super::{confidence, number};
use serde_json::{Map, Value, json};
use stats::history::History;
use stats::mean_cumulative::{Point, mean_cumulative};
use stats::power_law;

fn list(input: &Value, name: &str) -> Vec<f64> {
    rows(input, name).map(|v| v.as_f64().expect("a number")).collect()
}

fn histories(input: &Value, name: &str, repairs: &str) -> Vec<History> {
    rows(input, name)
        .map(|u| History::new(number(u, "start"), number(u, "end"), list(u, repairs)).expect("a history"))
        .collect()
}

pub(super) fn mcf(input: &Value) -> Value {
    let conf = confidence(input);
    let points = mean_cumulative(&histories(input, "units", "events")).expect("points");
    let column = |f: &dyn Fn(&Point) -> Value| points.iter().map(f).collect::<Vec<_>>();
    json!({
        "time": column(&|p| json!(p.age)), "n_at_risk": column(&|p| json!(p.at_risk)),
        "d": column(&|p| json!(p.repairs)), "mcf": column(&|p| json!(p.mean)),
        "var_lawless_nadeau": column(&|p| json!(p.variance)),
        "var_poisson": column(&|p| json!(p.poisson_variance)),
        "var_nelson_unbiased": column(&|p| json!(p.nelson_variance)),
        "log_ci_lower": column(&|p| json!(p.limits(conf).low)),
        "log_ci_upper": column(&|p| json!(p.limits(conf).high)),
    })
}

pub(super) fn power_law(input: &Value) -> Value {
    let conf = confidence(input);
    let systems = histories(input, "systems", "times");
    let (fit, laplace) = if input["mode"] == "failure" {
        let repairs = systems[0].repairs();
        (power_law::fit_failure_terminated(repairs), power_law::laplace_failure_terminated(repairs))
    } else {
        (power_law::fit(&systems), power_law::laplace(&systems))
    };
    let Ok(fit) = fit else {
        return json!({ "n": 0, "status": "no_events" });
    };
    let mut out = Map::new();
    let mut put = |name: &str, value: Option<f64>| out.insert(name.to_owned(), json!(value));
    put("n", Some(fit.events()));
    put("beta", Some(fit.shape()));
    put("lambda_", Some(fit.scale()));
    put("loglik", Some(fit.log_likelihood()));
    put("beta_unbiased", fit.shape_unbiased());
    put("beta_ci_lower", fit.shape_limits(conf).map(|i| i.low));
    put("beta_ci_upper", fit.shape_limits(conf).map(|i| i.high));
    put("milhdbk_chi2", fit.trend().map(|t| t.0));
    put("milhdbk_df", fit.trend().map(|t| t.1));
    put("milhdbk_p_lower_tail", fit.trend().map(|t| t.2.lower));
    put("intensity_at_T", fit.intensity_at_end());
    put("mtbf_at_T", fit.intensity_at_end().map(f64::recip));
    put("mtbf_at_T_unbiased_beta", fit.intensity_at_end_unbiased().map(f64::recip));
    put("mtbf_wald_lower", fit.mtbf_at_end_wald(conf).map(|i| i.low));
    put("mtbf_wald_upper", fit.mtbf_at_end_wald(conf).map(|i| i.high));
    put("nist_mtbf_lower", fit.mtbf_at_end_handbook(conf).map(|i| i.low));
    put("nist_mtbf_upper", fit.mtbf_at_end_handbook(conf).map(|i| i.high));
    put("cvm", fit.cramer_von_mises());
    put("laplace_u", laplace.as_ref().ok().map(|l| l.u));
    put("laplace_p_two_sided", laplace.as_ref().ok().map(|l| l.p_value));
    out.insert("status".to_owned(), json!("ok"));
    Value::Object(out)
}

pub(super) fn power_law_grouped(input: &Value) -> Value {
    let counts: Vec<u64> = rows(input, "counts").map(|n| n.as_u64().expect("a count")).collect();
    match power_law::grouped(&list(input, "edges"), &counts) {
        Ok(fit) => json!({
            "status": "ok", "beta": fit.shape, "lambda_": fit.scale, "loglik": fit.log_likelihood,
            "expected": fit.expected, "intensity_last_interval": fit.last_intensity,
        }),
        Err(_) => json!({ "status": "no_mle", "reason": "beta_to_infinity" }),
    }
}
