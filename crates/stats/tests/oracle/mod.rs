//! Compares every method with its file of reference values and prints how far off the worst case is.

mod benches;
mod counts;
mod forecasts;
mod lives;
mod masses;
mod ratios;
mod repairs;
mod survivals;
mod watching;

use serde_json::Value;

/// Gives, for one input object, the object the method's file expects.
type Method = fn(&Value) -> Value;

/// Number in an object; absent or `null` is infinite, as for degrees of freedom.
pub(crate) fn number(input: &Value, name: &str) -> f64 {
    match &input[name] {
        Value::String(text) => text.parse().expect("a number or inf"),
        other => other.as_f64().unwrap_or(f64::INFINITY),
    }
}

pub(crate) fn count(input: &Value, name: &str) -> u64 {
    input[name].as_u64().unwrap_or_else(|| panic!("{name} is not a count in {input}"))
}

pub(crate) fn confidence(input: &Value) -> stats::Confidence {
    stats::Confidence::new(number(input, "conf")).expect("a confidence")
}

pub(crate) fn exposure(input: &Value, name: &str) -> stats::Exposure {
    stats::Exposure::new(number(input, name)).expect("an exposure")
}

/// JSON has no infinity: it is a string in these files.
pub(crate) fn real(value: f64) -> Value {
    if value.is_infinite() {
        Value::from(if value > 0.0 { "inf" } else { "-inf" })
    } else if value.is_nan() {
        Value::Null
    } else {
        Value::from(value)
    }
}

pub(crate) fn reals(values: impl IntoIterator<Item = f64>) -> Value {
    values.into_iter().map(real).collect()
}

/// Distance of two answers in parts of the tolerance's unit, and where the largest is.
struct Worst {
    error: f64,
    place: String,
}

impl Worst {
    fn compare(&mut self, got: &Value, want: &Value, place: &str) {
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
                let (one, two) = (one.as_f64().expect("f64"), two.as_f64().expect("f64"));
                let gap = (one - two).abs();
                let probability = ["p_", "prob", "power", "risk"].iter().any(|w| place.contains(w));
                // A likelihood ratio near 0 is what is left of two large numbers.
                let rest = place.contains(".lr_") && gap < 1e-10;
                let error =
                    if gap == 0.0 || rest || two.abs() < 1e-300 && gap < 1e-300 || probability && gap < 1e-13
                    {
                        0.0
                    } else {
                        gap / two.abs().max(1e-300)
                    };
                if error > self.error || self.place.is_empty() {
                    *self = Self { error, place: format!("{place}: {one} for {two}") };
                }
            }
            _ => assert_eq!(got, want, "at {place}"),
        }
    }
}

/// Runs one file; each case must lie within its tolerance.
fn run(text: &str, method: Method) -> String {
    let file: Value = serde_json::from_str(text).expect("a reference file");
    let name = file["method"].as_str().expect("a name");
    let cases = file["cases"].as_array().expect("cases");
    let mut overall = Worst { error: 0.0, place: String::new() };
    for mut case in cases.iter().cloned() {
        // Probabilities drawn or summed to a tolerance of their own have a test of their own.
        for apart in ["p_mc", "p_exact", "mc_replicates"] {
            case["expected"].as_object_mut().expect("an object").remove(apart);
        }
        let id = case["id"].as_str().expect("an id");
        let own = case["tol"].as_f64().or_else(|| case["tol"]["llr_rel"].as_f64());
        let tol = own.or_else(|| file["tol"].as_f64()).expect("a tolerance");
        let mut worst = Worst { error: 0.0, place: String::new() };
        worst.compare(&method(&case["input"]), &case["expected"], id);
        assert!(worst.error <= tol, "{name}: {} is off by {:e}, allowed {tol:e}", worst.place, worst.error);
        if worst.error >= overall.error {
            overall = worst;
        }
    }
    format!(
        "{name:<28} {:>3} cases, worst relative error {:.1e} at {}",
        cases.len(),
        overall.error,
        overall.place
    )
}

macro_rules! reference {
    ($name:literal, $method:expr) => {
        (include_str!(concat!("../reference/", $name, ".json")), $method as Method)
    };
}

#[test]
fn every_reference_value_is_met() {
    let methods = [
        reference!("01_poisson_rate", counts::poisson_rate),
        reference!("02a_binomial_ci", counts::binomial_ci),
        reference!("02b_success_run", counts::success_run),
        reference!("03a_rate_ratio", ratios::rate_ratio),
        reference!("03b_rate_ratio_power", ratios::rate_ratio_power),
        reference!("04a_life_mle", lives::life_mle),
        reference!("04b_fixed_shape", lives::fixed_shape),
        reference!("05a_km_na", survivals::km_na),
        reference!("05b_logrank", survivals::logrank),
        reference!("06a_mcf", repairs::mcf),
        reference!("06b_power_law", repairs::power_law),
        reference!("06c_power_law_grouped", repairs::power_law_grouped),
        reference!("07a_prediction_plugin", forecasts::plug_in_forecast),
        reference!("08a_eb_scores", watching::eb_scores),
        reference!("08c_bh", ratios::bh),
        reference!("08d_funnel", watching::funnel),
        reference!("09a_cusum_arl", watching::cusum_arl),
        reference!("09b_cusum_paths", watching::cusum_paths),
        reference!("09c_temporal_scan", watching::scan),
        reference!("10a_reporting_delay", watching::reporting_delay),
        reference!("10b_under_reporting", watching::under_reporting),
        reference!("11a_stress_strength", benches::stress_strength),
        reference!("11b_weibull_two_sample", lives::weibull_two_sample),
        reference!("11c_welch_fieller", benches::welch_fieller),
        reference!("12a_welch_satterthwaite", masses::welch_satterthwaite),
        reference!("12b_mass_rollup", masses::mass_rollup),
        reference!("13a_kappa", benches::kappa),
        reference!("13b_clustering", benches::clustering),
        reference!("14_load_carriage", benches::load_carriage),
    ];
    println!("Reference values, method by method:");
    for (text, method) in methods {
        println!("{}", run(text, method));
    }
    println!("{}", forecasts::drawn_forecasts(include_str!("../reference/07b_prediction_mc.json")));
    println!("{}", watching::fits_of_tables(include_str!("../reference/08b_eb_fit.json")));
    println!("{}", watching::scan_probabilities(include_str!("../reference/09c_temporal_scan.json")));
}
