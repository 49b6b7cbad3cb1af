//! Reference cases of uncertainty: combined contributions, parts and tariffs.

use super::{confidence, number, real};
use serde_json::{Value, json};
use stats::special::{Tails, normal};
use stats::uncertainty::{Contribution, Part, Size, combine, roll_up, tariff_mean};

fn list(input: &Value, name: &str) -> Vec<Value> {
    input[name].as_array().expect("a list").clone()
}

pub(super) fn welch_satterthwaite(input: &Value) -> Value {
    let conf = confidence(input);
    let parts: Vec<_> = list(input, "contributions")
        .iter()
        .map(|c| {
            let sensitivity = if c["c"].is_number() { number(c, "c").abs() } else { 1.0 };
            Contribution { standard: sensitivity * number(c, "u"), freedom: number(c, "dof") }
        })
        .collect();
    let all = combine(&parts).expect("a sum");
    let (own, cut) = (all.expanded(conf), all.expanded_truncated(conf));
    json!({
        "u_c": all.standard, "nu_eff": real(all.freedom),
        "k_z": normal::quantile(Tails::from_upper(conf.half_risk())),
        "nu_eff_truncated": all.freedom.is_finite().then(|| all.freedom.floor()),
        "k_t": cut.map(|e| e.factor), "U": cut.map(|e| e.half_width),
        "k_t_real_dof": own.factor, "U_real_dof": own.half_width,
    })
}

pub(super) fn mass_rollup(input: &Value) -> Value {
    if input["sizes"].is_array() {
        let sizes: Vec<_> = list(input, "sizes")
            .iter()
            .map(|s| Size {
                share: number(s, "proportion"),
                value: number(s, "mass_g"),
                standard: number(s, "u_g"),
            })
            .collect();
        let mean = tariff_mean(&sizes, Some(number(input, "tariff_sample_n"))).expect("a mean");
        return json!({
            "weighted_mean": mean.mean, "u_mass": mean.standard_independent, "u_tariff": mean.standard_of_shares,
            "u_c": mean.standard_independent.hypot(mean.standard_of_shares),
            "u_mass_fully_correlated": mean.standard_together, "population_sd": mean.spread,
        });
    }
    let parts: Vec<_> = list(input, "parts")
        .iter()
        .map(|p| Part {
            quantity: number(p, "qty"),
            value: number(p, "mass_g"),
            standard: number(p, "u_g"),
            group: p["correlation_group"].as_str().map(|name| usize::from(name.as_bytes()[0])),
        })
        .collect();
    let total = roll_up(&parts).expect("a total");
    let limits = total.interval(confidence(input));
    json!({
        "total": total.value, "u_c": total.standard, "lower": limits.low, "upper": limits.high,
        "relative": total.standard / total.value,
    })
}
