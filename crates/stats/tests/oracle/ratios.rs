//! Reference cases of comparisons: ratios of rates, their power, false discovery.

use super::{confidence, count, exposure, number, real};
use serde_json::{Value, json};
use stats::rate_ratio::{self, Group};
use stats::{Confidence, Exposure, false_discovery};

pub(super) fn rate_ratio(input: &Value) -> Value {
    let group = |x, t| Group { count: count(input, x), exposure: exposure(input, t) };
    let (one, two, conf) = (group("x1", "t1"), group("x2", "t2"), confidence(input));
    let test = rate_ratio::test(one, two, number(input, "ratio0")).expect("a test");
    let (exact, mid) = (rate_ratio::ratio(one, two, conf), rate_ratio::ratio_mid_p(one, two, conf));
    json!({
        "rate_ratio": real(exact.estimate),
        "p_one_sided_greater": test.greater, "p_one_sided_less": test.less,
        "p_two_sided_doubled": test.doubled, "p_two_sided_minlike": test.minlike, "p_midp_two_sided": test.mid_p,
        "ci_exact_lower2": exact.low, "ci_exact_upper2": real(exact.high),
        "ci_exact_lower1": rate_ratio::ratio_lower(one, two, conf),
        "ci_exact_upper1": real(rate_ratio::ratio_upper(one, two, conf)),
        "ci_midp_lower2": mid.low, "ci_midp_upper2": real(mid.high),
    })
}

pub(super) fn rate_ratio_power(input: &Value) -> Value {
    let conf = Confidence::new(1.0 - number(input, "alpha_one_sided")).expect("a confidence");
    let at = |t| Exposure::new(t).expect("an exposure");
    if input["rate1"].is_number() {
        let (one, two) = (number(input, "rate1"), number(input, "rate2"));
        let power = rate_ratio::power(one, at(number(input, "t1")), two, at(number(input, "t2")), conf);
        return json!({ "power_exact_conditional": power.expect("a power") });
    }
    let (base, ratio, times) = (number(input, "rate2"), number(input, "ratio"), number(input, "t2_over_t1"));
    let plan = rate_ratio::exposure_needed(base, ratio, times, conf, number(input, "power")).expect("a plan");
    assert!(plan.exact > 0.5 * plan.square_root_form && plan.exact < 2.0 * plan.square_root_form);
    json!({
        "t1_log_ratio": plan.log_form, "t1_sqrt": plan.square_root_form,
        "events_total_at_t1_log_ratio": plan.events_at_log_form,
        "exact_power_at_t1_log_ratio": plan.power_at_log_form,
        "exact_power_at_t1_sqrt": plan.power_at_square_root_form,
    })
}

pub(super) fn bh(input: &Value) -> Value {
    let p: Vec<f64> = input["p"].as_array().expect("a list").iter().map(|p| p.as_f64().expect("p")).collect();
    let q = number(input, "q");
    let called = false_discovery::called(&p, q).expect("calls");
    json!({
        "n_rejected": called.iter().filter(|&&c| c).count(),
        "rejected": called,
        "adjusted": false_discovery::benjamini_hochberg(&p).expect("values"),
        "bonferroni_rejected": false_discovery::bonferroni_called(&p, q).expect("calls").iter().filter(|&&c| c).count(),
    })
}
