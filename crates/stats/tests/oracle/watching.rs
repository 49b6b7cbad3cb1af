//! Reference cases of watching a field: shrinkage, funnels, CUSUM, scan, delay and reporting share.

use super::{confidence, count, exposure, number, real, reals};
use crate::draws::seeded;
use serde_json::{Value, json};
use stats::cusum::{self, Alarm, Cusum, Lattice, Side};
use stats::reporting_delay::{chain_ladder, nowcast};
use stats::reporting_fraction::{ReportingFraction, Survey};
use stats::scan::{Series, exact_p_value, simulated_p_value};
use stats::shrinkage::{self, Cell, Fit, Gamma};
use stats::{Confidence, Probability, funnel};

fn numbers(input: &Value, name: &str) -> Vec<f64> {
    input[name].as_array().expect("a list").iter().map(|x| x.as_f64().expect("a number")).collect()
}

fn counts(input: &Value, name: &str) -> Vec<u64> {
    input[name].as_array().expect("a list").iter().map(|x| x.as_u64().expect("a count")).collect()
}

pub(super) fn eb_scores(input: &Value) -> Value {
    let gamma = |a, b| Gamma { shape: number(input, a), rate: number(input, b) };
    let fit = if input["p"].is_number() {
        let (first, second) = (gamma("alpha1", "beta1"), gamma("alpha2", "beta2"));
        Fit::TwoGammas { first, second, weight: number(input, "p"), log_likelihood: 0.0 }
    } else {
        let Gamma { shape, rate } = gamma("alpha", "beta");
        Fit::OneGamma { shape, rate, log_likelihood: 0.0 }
    };
    let cell = Cell { count: count(input, "n"), expected: number(input, "expected") };
    let seen = shrinkage::posterior(cell, &fit, Confidence::NINETY);
    json!({
        "rr": cell.count as f64 / cell.expected, "post_mean": seen.mean, "ebgm": seen.geometric_mean,
        "eb05": seen.low, "eb95": seen.high, "q_n": shrinkage::share_of_first(cell, &fit),
        "prob_gt_1": shrinkage::probability_above(cell, &fit, 1.0),
        "prob_gt_2": shrinkage::probability_above(cell, &fit, 2.0),
        "log_marginal": shrinkage::log_likelihood(cell, &fit),
    })
}

/// Cells of a table to fit.
pub(crate) fn cells(input: &Value) -> Vec<Cell> {
    counts(input, "n")
        .into_iter()
        .zip(numbers(input, "expected"))
        .map(|(count, expected)| Cell { count, expected })
        .collect()
}

pub(super) fn funnel(input: &Value) -> Value {
    if input["observed"].is_number() {
        return funnel_signal(input);
    }
    let at = |p| {
        let p = Probability::new(p).expect("a probability");
        let limit =
            funnel::limit(number(input, "target_rate"), exposure(input, "exposure"), p).expect("a limit");
        json!({ "r": limit.count, "alpha": limit.step_back, "limit_rate": limit.rate })
    };
    json!({ "p025": at(0.025), "p975": at(0.975), "p001": at(0.001), "p999": at(0.999) })
}

/// A fraction written as text, over a common number of parts.
fn parts(text: &str, parts: u32) -> u32 {
    let (top, bottom) = text.split_once('/').unwrap_or((text, "1"));
    top.parse::<u32>().expect("a number") * parts / bottom.parse::<u32>().expect("a number")
}

pub(super) fn cusum_arl(input: &Value) -> Value {
    let text = |name: &str| input[name].as_str().expect("text");
    let bottom = |name| text(name).split_once('/').map_or(1, |(_, b)| b.parse::<u32>().expect("a number"));
    let common = bottom("k") * bottom("h") * bottom("head_start");
    let chart = Lattice {
        parts: common,
        reference: parts(text("k"), common),
        threshold: parts(text("h"), common),
        head_start: parts(text("head_start"), common),
        side: if text("side") == "upper" { Side::Upper } else { Side::Lower },
        alarm: if text("alarm") == "ge" { Alarm::AtLeast } else { Alarm::Above },
    };
    json!({ "arl": cusum::average_run_length(number(input, "mean"), &chart).expect("a run length") })
}

pub(super) fn cusum_paths(input: &Value) -> Value {
    let rate0 = number(input, "mu0");
    if input["mu1"].is_number() {
        let rate1 = number(input, "mu1");
        let weight = cusum::log_weight(rate0, rate1).expect("a weight");
        let k = cusum::reference_rate(rate0, rate1).expect("a reference");
        return json!({ "k": k, "log_weight": weight, "llr_slope_per_unit_exposure": k * weight });
    }
    let ratio = number(input, "rate_ratio");
    let chart = Cusum {
        reference_rate: cusum::reference_rate(rate0, rate0 * ratio).expect("a reference"),
        threshold: number(input, "h"),
        head_start: 0.0,
        side: Side::Upper,
        alarm: Alarm::AtLeast,
    };
    let path = chart.path(&counts(input, "counts"), &numbers(input, "exposure")).expect("a path");
    let alarms = path.iter().enumerate().filter(|(_, step)| step.alarm).map(|(i, _)| i);
    json!({
        "k_rate": chart.reference_rate,
        "s": reals(path.iter().map(|step| step.score)),
        "s_in_llr_units": reals(path.iter().map(|step| step.score * ratio.ln())),
        "alarms": alarms.collect::<Vec<_>>(),
    })
}

/// The window found, as expected; probabilities are compared in a test of their own.
pub(super) fn scan(input: &Value) -> Value {
    let Some(window) = series(input).most_unusual() else {
        return json!({
            "llr": 0, "start": null, "end": null, "observed": 0, "expected": 0, "relative_risk": null,
        });
    };
    json!({
        "llr": window.log_likelihood_ratio, "start": window.start, "end": window.end, "observed": window.observed,
        "expected": window.expected, "relative_risk": real(window.relative_risk),
    })
}

pub(super) fn reporting_delay(input: &Value) -> Value {
    if input["incremental"].is_array() {
        let rows: Vec<Vec<f64>> = input["incremental"]
            .as_array()
            .expect("rows")
            .iter()
            .map(|row| row.as_array().expect("a row").iter().map(|x| x.as_f64().expect("a number")).collect())
            .collect();
        let seen = chain_ladder(&rows).expect("a ladder");
        return json!({
            "factors": seen.factors, "sigma2": seen.variances,
            "ultimate": reals(seen.periods.iter().map(|p| p.ultimate)),
            "reserve": reals(seen.periods.iter().map(|p| p.outstanding)),
            "reserve_se": reals(seen.periods.iter().map(|p| p.standard_error)),
            "total_reserve": seen.total_outstanding, "total_se": seen.total_standard_error,
        });
    }
    let triangle: Vec<Vec<u64>> = serde_json::from_value(input["triangle"].clone()).expect("a triangle");
    let seen = nowcast(&triangle, confidence(input)).expect("a nowcast");
    let periods: Vec<_> = seen
        .periods
        .iter()
        .map(|p| {
            json!({
                "reported": p.reported, "completeness": p.completeness,
                "nowcast": p.nowcast.map(|n| n.events), "se": p.nowcast.map(|n| n.standard_error),
                "lower": p.nowcast.map(|n| n.interval.low), "upper": p.nowcast.map(|n| n.interval.high),
            })
        })
        .collect();
    json!({
        "reverse_hazard": seen.reverse_hazard, "delay_cdf": seen.cumulative,
        "var_log_delay_cdf": seen.variance_of_log, "periods": periods, "total_nowcast": seen.total(),
    })
}

pub(super) fn under_reporting(input: &Value) -> Value {
    let survey = Survey {
        items: count(input, "items_in_service"),
        reports: count(input, "voluntary_reports"),
        inspected: count(input, "inspected"),
        found: count(input, "found_failed"),
    };
    let conf = confidence(input);
    let share = ReportingFraction::new(survey).expect("a survey");
    let (delta, finite) = (share.delta(conf, false), share.delta(conf, true));
    let (all, inside) = (share.posterior(conf), share.posterior_at_most_one(conf).expect("a posterior"));
    let chance = survey.found as f64 / survey.inspected as f64;
    json!({
        "p_hat": chance, "failures_hat": chance * survey.items as f64,
        "reporting_fraction_hat": delta.map(|d| d.fraction), "var_log": delta.map(|d| d.variance_of_log),
        "delta_lower": delta.map(|d| d.interval.low), "delta_upper": delta.map(|d| d.interval.high),
        "var_log_fpc": finite.map(|d| d.variance_of_log),
        "delta_fpc_lower": finite.map(|d| d.interval.low), "delta_fpc_upper": finite.map(|d| d.interval.high),
        "under_ascertainment_multiplier": delta.map(|d| 1.0 / d.fraction),
        "bayes_median": all.median, "bayes_lower": all.interval.low, "bayes_upper": all.interval.high,
        "prob_phi_le_1": share.probability_at_most_one(),
        "bayes_trunc_median": inside.median,
        "bayes_trunc_lower": inside.interval.low, "bayes_trunc_upper": inside.interval.high,
    })
}

fn series(input: &Value) -> Series {
    let longest = count(input, "max_window") as usize;
    Series::new(&counts(input, "counts"), &numbers(input, "exposure"), longest).expect("a series")
}

/// Exact probabilities within 1e-6, drawn ones within four standard deviations of both simulations.
pub(super) fn scan_probabilities(text: &str) -> String {
    let file: Value = serde_json::from_str(text).expect("a reference file");
    let (mut worst, mut cases) = (0.0_f64, 0);
    for case in file["cases"].as_array().expect("cases") {
        let series = series(&case["input"]);
        let drawn = simulated_p_value(&series, 9999, &mut seeded(3)).expect("a probability");
        let Some(want) = ["p_exact", "p_mc"].iter().find_map(|p| case["expected"][p].as_f64()) else {
            continue;
        };
        let noise = (want * (1.0 - want) * (1.0 / 9999.0 + 1.0 / 99999.0)).sqrt();
        assert!((drawn - want).abs() <= 4.0 * noise + 1e-4, "{}: {drawn} for {want}", case["id"]);
        if let Some(want) = case["expected"]["p_exact"].as_f64() {
            let got = exact_p_value(&series).expect("few enough arrangements");
            worst = worst.max((got / want - 1.0).abs());
        }
        cases += 1;
    }
    assert!(worst <= 1e-6);
    format!(
        "{:<28} {cases:>3} cases, worst relative error {worst:.1e} of an exact probability",
        "09c probabilities"
    )
}

/// One gamma within 1e-5 of shape, rate and score; likelihoods never below the reference's by more than it allows.
pub(super) fn fits_of_tables(text: &str) -> String {
    let file: Value = serde_json::from_str(text).expect("a reference file");
    let (mut worst, mut gain, mut cases) = (0.0_f64, 0.0_f64, 0);
    for case in file["cases"].as_array().expect("cases") {
        let (id, want) = (case["id"].as_str().expect("an id"), &case["expected"]);
        let cells = cells(&case["input"]);
        cases += 1;
        if id.ends_with(":two") {
            let fit = shrinkage::fit_two_gammas(&cells).expect("a fit");
            let Fit::TwoGammas { log_likelihood, .. } = fit else { panic!("{id}: {fit:?}") };
            let more = log_likelihood - number(want, "loglik");
            println!("  {id}: log-likelihood {log_likelihood:.4}, {more:+.4} against the reference");
            assert!(more > -0.05, "{id}: {fit:?}");
            gain = gain.max(more);
            continue;
        }
        let fit = shrinkage::fit_one_gamma(&cells).expect("a fit");
        match fit {
            Fit::NoSignal => assert_eq!(want["status"], "boundary", "{id}"),
            Fit::OneGamma { shape, rate, log_likelihood } => {
                assert!((log_likelihood - number(want, "loglik")).abs() < 1e-7, "{id}: {log_likelihood}");
                let mut pairs = vec![(shape, number(want, "alpha")), (rate, number(want, "beta"))];
                if want["ebgm"].is_array() {
                    let scores = cells
                        .iter()
                        .map(|&c| shrinkage::posterior(c, &fit, Confidence::NINETY).geometric_mean);
                    pairs.extend(scores.zip(numbers(want, "ebgm")));
                }
                worst = pairs.iter().fold(worst, |worst, (got, want)| worst.max((got / want - 1.0).abs()));
            }
            Fit::TwoGammas { .. } => panic!("{id}: two gammas for one"),
        }
    }
    assert!(worst <= 1e-5, "{worst:e}");
    format!(
        "{:<28} {cases:>3} cases, worst relative error {worst:.1e}; two gammas gain up to {gain:.4}",
        "08b_eb_fit"
    )
}

fn funnel_signal(input: &Value) -> Value {
    let (target, at) = (number(input, "target_rate"), exposure(input, "exposure"));
    let seen = funnel::score(count(input, "observed"), target, at).expect("a score");
    json!({
        "smr": seen.ratio, "p_upper_exact": seen.upper, "p_upper_mid": seen.upper_mid_p,
        "z_mid": seen.z_mid_p, "z_sqrt": seen.z_square_root,
    })
}
