//! Reference cases of strength against load, bench comparisons, agreement, grouping and load carriage.

use super::lives::rows;
use super::{confidence, number};
use serde_json::{Value, json};
use stats::bench::Comparison;
use stats::load_carriage::{Walk, kcal_per_hour};
use stats::{agreement, grouping, strength};

pub(super) fn stress_strength(input: &Value) -> Value {
    let load = |second: &str| (number(input, "load_mean"), number(input, second));
    let strong = |first: &str, second: &str| (number(input, first), number(input, second));
    let model = input["model"].as_str().expect("a model");
    let (pair, margin) = match model {
        "normal" => (strength::normal(strong("strength_mean", "strength_sd"), load("load_sd")), None),
        "lognormal" => {
            let (s, l) = (strong("strength_mean", "strength_cv"), load("load_cv"));
            (strength::lognormal(s, l), Some(strength::ln_median_margin(s, l).expect("a margin")))
        }
        _ => (strength::weibull_normal(strong("strength_scale", "strength_shape"), load("load_sd")), None),
    };
    let r = pair.expect("a reliability");
    json!({ "z": r.z, "reliability": r.holds, "unreliability": r.fails, "median_safety_margin": margin })
}

pub(super) fn welch_fieller(input: &Value) -> Value {
    let list = |name: &str| rows(input, name).map(|v| v.as_f64().expect("a number")).collect::<Vec<_>>();
    let conf = confidence(input);
    let both = Comparison::new(&list("x"), &list("y")).expect("a comparison");
    let (difference, fieller, log) =
        (both.difference_limits(conf), both.ratio_limits(conf), both.ln_ratio_limits(conf));
    json!({
        "mean_x": both.old_mean(), "mean_y": both.new_mean(), "diff": both.difference(),
        "se": both.standard_error(), "df": both.freedom(), "t": both.t(), "p_two_sided": both.p_value(),
        "diff_lower": difference.low, "diff_upper": difference.high,
        "ratio": both.ratio(), "fieller_g": both.g(conf),
        "fieller_lower": fieller.map(|i| i.low), "fieller_upper": fieller.map(|i| i.high),
        "log_ratio_lower": log.map(|i| i.low), "log_ratio_upper": log.map(|i| i.high),
        "note": fieller.is_none().then_some("denominator not significantly different from 0: unbounded set"),
    })
}

pub(super) fn kappa(input: &Value) -> Value {
    let names = |by: &str| rows(input, by).map(|v| v.as_str().expect("a name")).collect::<Vec<_>>();
    let found = agreement::kappa(&names("a"), &names("b")).expect("an agreement");
    json!({
        "p_o": found.observed, "p_e": found.by_chance, "kappa": found.kappa, "se_fleiss": found.standard_error,
    })
}

pub(super) fn clustering(input: &Value) -> Value {
    let labels = |of: &str| rows(input, of).map(|v| v.as_i64().expect("a label")).collect::<Vec<_>>();
    let s = grouping::score(&labels("true"), &labels("pred")).expect("scores");
    json!({
        "pairs_together_both": s.together_both, "pairs_together_true": s.together_true,
        "pairs_together_pred": s.together_found, "pairs_total": s.pairs,
        "pair_precision": s.precision(), "pair_recall": s.recall(), "pair_f1": s.f1(),
        "rand_index": s.rand(), "adjusted_rand": s.adjusted_rand(),
        "bcubed_precision": s.b_cubed_precision, "bcubed_recall": s.b_cubed_recall, "bcubed_f1": s.b_cubed_f1(),
    })
}

pub(super) fn load_carriage(input: &Value) -> Value {
    let n = |name: &str| number(input, name);
    let walk =
        Walk::new(n("body_kg"), n("load_kg"), n("speed_m_s"), n("grade_pct"), n("terrain")).expect("a walk");
    let (watts, parts) = (walk.pandolf_w(), walk.pandolf_parts());
    let mut out = json!({
        "pandolf_w": watts, "pandolf_kcal_h": kcal_per_hour(watts),
        "santee_cf_w": walk.downhill_correction_w(), "pandolf_santee_w": walk.corrected_w(),
        "pandolf_terms": { "rest": parts.rest_w, "load": parts.load_w, "move": parts.move_w },
        "d_pandolf_dL": walk.pandolf_per_kg_of_load(),
        "lcda_w_per_kg": walk.lcda_w_per_kg(), "lcda_w_total_mass": walk.lcda_w(),
    });
    if input["load_change_kg"].is_number() {
        let after = walk.with_load(n("load_kg") + n("load_change_kg")).expect("a walk").pandolf_w();
        out = json!({ "before_w": watts, "after_w": after, "delta_w": after - watts });
    }
    out
}
