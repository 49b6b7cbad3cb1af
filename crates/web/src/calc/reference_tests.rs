//! Every reference value, asked for by name through the same door as anybody's.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::Value;

use super::{Answer, method, methods};

/// A file of reference values that stands beside the mathematics.
macro_rules! reference {
    ($($name:literal),* $(,)?) => {
        [$(($name, include_str!(concat!("../../../stats/tests/reference/", $name, ".json")))),*]
    };
}

const FILES: [(&str, &str); 31] = reference![
    "01_poisson_rate",
    "02a_binomial_ci",
    "02b_success_run",
    "03a_rate_ratio",
    "03b_rate_ratio_power",
    "04a_life_mle",
    "04b_fixed_shape",
    "05a_km_na",
    "05b_logrank",
    "06a_mcf",
    "06b_power_law",
    "06c_power_law_grouped",
    "07a_prediction_plugin",
    "07b_prediction_mc",
    "08a_eb_scores",
    "08b_eb_fit",
    "08c_bh",
    "08d_funnel",
    "09a_cusum_arl",
    "09b_cusum_paths",
    "09c_temporal_scan",
    "10a_reporting_delay",
    "10b_under_reporting",
    "11a_stress_strength",
    "11b_weibull_two_sample",
    "11c_welch_fieller",
    "12a_welch_satterthwaite",
    "12b_mass_rollup",
    "13a_kappa",
    "13b_clustering",
    "14_load_carriage",
];

fn name_of(file: &str) -> &str {
    file.split_once('_').expect("a number and a name").1
}

fn cases(text: &str) -> Vec<Value> {
    let file: Value = serde_json::from_str(text).expect("a reference file");
    file["cases"].as_array().expect("cases").clone()
}

fn keys(value: &Value) -> BTreeSet<String> {
    value.as_object().expect("an object").keys().cloned().collect()
}

/// Fewer replicates where a case draws: an unoptimised build is slow, and the tolerance allows for it.
fn answer(name: &str, case: &Value) -> Value {
    let mut input = case["input"].clone();
    if name == "temporal_scan" {
        input["replicates"] = Value::from(REPLICATES);
    }
    let method = method(name).unwrap_or_else(|| panic!("no method {name}"));
    let answer: Answer =
        (method.run)(&input).unwrap_or_else(|error| panic!("{name}, {}: {error}", case["id"]));
    serde_json::to_value(&answer).expect("JSON")
}

const REPLICATES: u32 = 9999;

/// How far two answers may lie apart, by field.
struct Tolerance {
    relative: f64,
    case: Value,
}

impl Tolerance {
    fn of(file: &Value, case: &Value) -> Self {
        let relative = case["tol"].as_f64().or_else(|| file["tol"].as_f64());
        let by_field = ["llr_rel", "params_rel"].iter().find_map(|field| case["tol"][field].as_f64());
        Self { relative: relative.or(by_field).unwrap_or(0.0), case: case["tol"].clone() }
    }

    fn allows(&self, place: &str, got: f64, want: f64) -> bool {
        let gap = (got - want).abs();
        let limit = |field: &str| self.case[field].as_f64();
        // What was drawn, there and here, scatters; the rest of its file says how much.
        if place.ends_with(".p_mc") {
            let noise = want * (1.0 - want) * (1.0 / f64::from(REPLICATES) + 1.0 / 99_999.0);
            return gap <= 4.0 * noise.sqrt() + 1.0 / f64::from(REPLICATES);
        }
        if place.ends_with(".mc_replicates") {
            return got == f64::from(REPLICATES);
        }
        if place.contains(".predictive_cdf") {
            return gap <= limit("cdf_abs").expect("a limit");
        }
        if let Some(bound) = limit("bounds_abs") {
            return match place {
                // Its tail is too heavy to settle; the median is judged.
                _ if place.ends_with(".mean_lambda") => got.is_finite(),
                _ if place.ends_with(".median_lambda") => gap <= 0.02 * want,
                _ if place.contains("calibrated_level") => gap <= 0.008,
                _ => gap <= bound,
            };
        }
        if let Some(bound) = limit("loglik_abs") {
            if place.ends_with(".loglik") {
                return got >= want - bound && (got <= want + bound || limit("params_rel").is_none());
            }
            // A mixture is judged by its likelihood alone.
            if limit("params_rel").is_none() {
                return true;
            }
        }
        let exact = limit("p_exact_rel").filter(|_| place.ends_with(".p_exact"));
        let probability = ["p_", "prob", "power", "risk"].iter().any(|word| place.contains(word));
        // A likelihood ratio near 0 is what is left of two large numbers.
        let rest = place.contains(".lr_") && gap < 1e-10;
        gap <= exact.unwrap_or(self.relative) * want.abs()
            || gap < 1e-300
            || rest
            || probability && gap < 1e-13
    }

    fn compare(&self, got: &Value, want: &Value, place: &str) {
        match (got, want) {
            (_, Value::Object(fields)) => {
                for (name, value) in fields {
                    self.compare(&got[name], value, &format!("{place}.{name}"));
                }
            }
            (Value::Array(ours), Value::Array(theirs)) => {
                assert_eq!(ours.len(), theirs.len(), "length at {place}");
                for (i, (one, two)) in ours.iter().zip(theirs).enumerate() {
                    self.compare(one, two, &format!("{place}[{i}]"));
                }
            }
            (Value::Number(one), Value::Number(two)) => {
                let (one, two) = (one.as_f64().expect("a number"), two.as_f64().expect("a number"));
                assert!(self.allows(place, one, two), "{place}: {one} for {two}");
            }
            _ => assert_eq!(got, want, "at {place}"),
        }
    }
}

#[test]
fn every_reference_value_comes_out_within_its_tolerance() {
    for (name, text) in FILES {
        let file: Value = serde_json::from_str(text).expect("a reference file");
        for case in cases(text) {
            let place = format!("{name} {}", case["id"]);
            let got = answer(name_of(name), &case);
            Tolerance::of(&file, &case).compare(&got, &case["expected"], &place);
        }
    }
}

/// Inputs of one shape are answered with one set of keys, which is what the reference expects of that shape in all.
#[test]
fn an_answer_has_exactly_the_keys_that_the_reference_expects() {
    for (file, text) in FILES {
        let name = name_of(file);
        let mut wanted: BTreeMap<Shape, BTreeSet<String>> = BTreeMap::new();
        for case in cases(text) {
            wanted.entry(Shape::of(&case)).or_default().extend(keys(&case["expected"]));
        }
        for case in &cases(text) {
            let (got, wanted) = (keys(&answer(name, case)), &wanted[&Shape::of(case)]);
            assert_eq!(&got, wanted, "{name} {}", case["id"]);
        }
    }
}

/// What decides the keys of an answer.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Shape {
    input: BTreeSet<String>,
    model: String,
    status: String,
}

impl Shape {
    fn of(case: &Value) -> Self {
        let input = &case["input"];
        let family = if input["dist"].is_string() { &input["dist"] } else { &input["model"] };
        let mut input = keys(input);
        // Words beside the figures change nothing.
        input.remove("note");
        Self { input, model: family.to_string(), status: case["expected"]["status"].to_string() }
    }
}

#[test]
fn every_reference_file_has_its_method_and_every_example_works() {
    for (file, _) in FILES {
        assert!(method(name_of(file)).is_some(), "{file}");
    }
    for method in methods() {
        let input = serde_json::from_str(method.example).expect("an example is JSON");
        let answer = (method.run)(&input).unwrap_or_else(|error| panic!("{}: {error}", method.name));
        assert!(!answer.values().is_empty(), "{}", method.name);
        assert!(!method.example.contains('\n'), "{}: an example is one line", method.name);
        assert!(
            super::in_words(&answer).lines().count() > 1 || answer.sentence().is_some(),
            "{}",
            method.name
        );
    }
}
