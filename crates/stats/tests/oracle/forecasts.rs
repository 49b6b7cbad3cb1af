//! Reference cases of forecasts, exact and drawn.

use super::lives::rows;
use super::{count, number, real};
use rand::Rng;
use rand_chacha::{ChaCha8Rng, rand_core::SeedableRng};
use serde_json::{Value, json};
use stats::forecast::{
    Cohort, Count, Group, bootstrap, failure_probabilities, normal_approximation, plug_in,
};
use stats::life::{Covariance, Distribution};

fn distribution(input: &Value) -> Distribution {
    let p = &input["params"];
    match input["dist"].as_str().expect("a model") {
        "exponential" => Distribution::exponential(number(p, "theta")),
        "weibull" => Distribution::weibull(number(p, "eta"), number(p, "beta")),
        _ => Distribution::lognormal(number(p, "mu"), number(p, "sigma")),
    }
    .expect("a distribution")
}

fn cohorts(input: &Value) -> Vec<Cohort> {
    rows(input, "cohorts")
        .map(|c| Cohort { age: number(c, "age"), units: count(c, "n"), ahead: number(c, "horizon") })
        .collect()
}

pub(super) fn plug_in_forecast(input: &Value) -> Value {
    let (distribution, cohorts) = (distribution(input), cohorts(input));
    let exact = plug_in(&distribution, &cohorts).expect("a count");
    let poisson = Count::poisson(exact.mean()).expect("a mean");
    let levels = [0.05, 0.95, 0.025, 0.975, 0.1, 0.9];
    let gap = (0..=exact.upper(0.999) + 1)
        .flat_map(|k| levels.map(|level| (exact.at_most(k) - level).abs()))
        .fold(1.0, f64::min);
    json!({
        "expected": exact.mean(), "variance": exact.variance(), "prob_zero": real(exact.none()),
        "pmf_0_to_10": (0..=10).map(|k| exact.exactly(k)).collect::<Vec<_>>(),
        "lower_05": exact.lower(0.05), "upper_95": exact.upper(0.95),
        "lower_025": exact.lower(0.025), "upper_975": exact.upper(0.975),
        "lower_10": exact.lower(0.1), "upper_90": exact.upper(0.9),
        "poisson_lower_05": poisson.lower(0.05), "poisson_upper_95": poisson.upper(0.95),
        "min_gap_to_quantile_levels": gap,
        "rho": failure_probabilities(&distribution, &cohorts).expect("probabilities"),
    })
}

/// Drawn forecasts agree with others' draws to the absolute tolerances of the file.
pub(super) fn drawn_forecasts(text: &str) -> String {
    let file: Value = serde_json::from_str(text).expect("a reference file");
    let mut source = ChaCha8Rng::seed_from_u64(7);
    let mut draw = || source.next_u64();
    let (mut of_cdf, mut of_bounds) = (0.0_f64, 0);
    for case in rows(&file, "cases") {
        let (input, expected) = (&case["input"], &case["expected"]);
        let mut near = |name: &str, ours: u64| {
            let gap = ours.abs_diff(count(expected, name));
            of_bounds = of_bounds.max(gap);
            assert!(gap <= count(&case["tol"], "bounds_abs"), "{name}: {ours} in {}", case["id"]);
        };
        let at_most: Vec<f64> = if input["groups_total"].is_array() {
            let groups: Vec<Group> = rows(input, "groups_total")
                .zip(rows(input, "at_risk"))
                .map(|(g, r)| Group { age: number(g, "age"), started: count(g, "n"), alive: count(r, "n") })
                .collect();
            let found = bootstrap(&distribution(input), &groups, number(input, "horizon"), 4000, &mut draw)
                .expect("bounds");
            near("direct_lower_05", found.direct_lower(0.05));
            near("direct_upper_95", found.direct_upper(0.95));
            near("calibrated_lower_05", found.calibrated_lower(0.05));
            near("calibrated_upper_95", found.calibrated_upper(0.95));
            assert!(
                (found.calibrated_level(0.95) - number(expected, "calibrated_level_upper")).abs() < 0.004
            );
            assert!(
                (found.calibrated_level(0.05) - number(expected, "calibrated_level_lower")).abs() < 0.008
            );
            (0..40).map(|k| found.at_most(k)).collect()
        } else {
            let around =
                Distribution::weibull(number(input, "log_eta").exp(), number(input, "log_beta").exp())
                    .expect("a distribution");
            let c = |i: usize, j: usize| input["cov"][i][j].as_f64().expect("a number");
            let covariance = Covariance { mu: c(0, 0), ln_sigma: c(1, 1), both: -c(0, 1) };
            let found = normal_approximation(&around, covariance, &cohorts(input), 40_000, 60, &mut draw)
                .expect("counts");
            near("lower_05", found.lower(0.05));
            near("upper_95", found.upper(0.95));
            let median = number(expected, "median_lambda");
            assert!((found.median_expected / median - 1.0).abs() < 0.02, "{}", found.median_expected);
            found.at_most
        };
        for (ours, theirs) in at_most.iter().zip(rows(expected, "predictive_cdf")) {
            of_cdf = of_cdf.max((ours - theirs.as_f64().expect("a number")).abs());
        }
        assert!(of_cdf <= number(&case["tol"], "cdf_abs"), "{of_cdf} in {}", case["id"]);
    }
    let cases = rows(&file, "cases").count();
    format!(
        "07b_prediction_mc            {cases:>3} cases, worst probability off by {of_cdf:.1e}, worst bound by {of_bounds}"
    )
}
