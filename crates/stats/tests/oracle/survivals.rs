//! Reference cases of survival without a model and of the log-rank test.

use super::lives::rows;
use super::{confidence, real};
use serde_json::{Value, json};
use stats::lifetimes::{Life, Lifetimes};
use stats::{log_rank, survival};

fn list(input: &Value, name: &str) -> Vec<f64> {
    rows(input, name).map(|v| v.as_f64().expect("a number")).collect()
}

/// The lives that a test of their place and group lets through.
fn lives(input: &Value, wanted: impl Fn(usize) -> bool) -> Lifetimes {
    let (entry, exit, weight) = (list(input, "entry"), list(input, "exit"), list(input, "weight"));
    let event: Vec<bool> =
        rows(input, "event").map(|e| e.as_bool().unwrap_or_else(|| e.as_f64() == Some(1.0))).collect();
    let all = (0..exit.len()).filter(|i| wanted(*i)).map(|i| {
        let life = if event[i] { Life::failed(exit[i]) } else { Life::survived(exit[i]) };
        life.watched_from(entry[i]).times(weight[i])
    });
    Lifetimes::new(all).expect("lives")
}

pub(super) fn km_na(input: &Value) -> Value {
    let conf = confidence(input);
    let curve = survival::curve(&lives(input, |_| true)).expect("a curve");
    let column = |f: &dyn Fn(&survival::Step) -> Value| curve.steps().iter().map(f).collect::<Vec<_>>();
    json!({
        "time": column(&|s| real(s.age)),
        "n_risk": column(&|s| real(s.at_risk)),
        "n_event": column(&|s| real(s.failed)),
        "surv": column(&|s| real(s.survival)),
        "greenwood_var_of_surv": column(&|s| json!(s.standard_error().map(|e| e * e))),
        "se_surv": column(&|s| json!(s.standard_error())),
        "loglog_lower": column(&|s| json!(s.limits(conf).map(|i| i.low))),
        "loglog_upper": column(&|s| json!(s.limits(conf).map(|i| i.high))),
        "na_cumhaz": column(&|s| real(s.hazard)),
        "na_var": column(&|s| real(s.hazard_variance)),
        "na_var_greenwood": column(&|s| real(s.hazard_variance_binomial)),
        "median": curve.median(),
    })
}

pub(super) fn logrank(input: &Value) -> Value {
    let labels: Vec<&str> = rows(input, "group").map(|g| g.as_str().expect("a group")).collect();
    let mut names = labels.clone();
    names.sort_unstable();
    names.dedup();
    let groups: Vec<Lifetimes> = names.iter().map(|n| lives(input, |i| labels[i] == *n)).collect();
    let test = log_rank::compare(&groups.iter().collect::<Vec<_>>()).expect("a test");
    let column = |f: fn(&log_rank::Group) -> f64| test.groups.iter().map(f).collect::<Vec<_>>();
    json!({
        "groups": names, "observed": column(|g| g.observed), "expected": column(|g| g.expected),
        "variance_diag": column(|g| g.variance), "chi2": test.chi_square, "df": test.freedom, "p": test.p_value,
    })
}
