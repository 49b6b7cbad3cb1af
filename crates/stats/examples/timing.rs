//! Times methods on inputs from standard input, for `tests/bench/statistics/compare.py`: one JSON object in, by method
//! its cases; one out, by method the seconds of the best of several rounds and every result.
//!
//! A round does all cases once, on one thread, and a result once computed is not reused.

use std::hint::black_box;
use std::io::Read as _;
use std::time::Instant;

use serde_json::{Map, Value, json};
use stats::life::Model;
use stats::lifetimes::{Life, Lifetimes};
use stats::rate_ratio::Group;
use stats::shrinkage::{Cell, Fit};
use stats::special::{Tails, beta, gamma};
use stats::{
    Confidence, Exposure, Interval, agreement, bench, binomial, false_discovery, grouping, life, log_rank,
    poisson_rate, rate_ratio, shrinkage, survival,
};

const ROUNDS: u32 = 20;

fn main() {
    let mut text = String::new();
    std::io::stdin().read_to_string(&mut text).expect("inputs on standard input");
    let inputs: Map<String, Value> = serde_json::from_str(&text).expect("one JSON object");
    let results: Map<String, Value> =
        inputs.into_iter().map(|(method, input)| (method.clone(), of(&method, &input))).collect();
    println!("{}", Value::Object(results));
}

fn of(method: &str, input: &Value) -> Value {
    let rows = || rows(input);
    match method {
        "poisson_interval" => {
            let cases = rows();
            timed(|| {
                cases
                    .iter()
                    .flat_map(|c| ends(poisson_rate::exact(c[0] as u64, exposure(c[1]), confidence())))
                    .collect()
            })
        }
        "poisson_interval_million" => {
            let last = input.as_u64().expect("a count");
            let one = exposure(1.0);
            timed(|| (0..last).flat_map(|k| ends(poisson_rate::exact(k, one, confidence()))).collect())
        }
        "binomial_interval" => {
            let cases = rows();
            timed(|| {
                let limits = |c: &Vec<f64>| binomial::clopper_pearson(c[0] as u64, c[1] as u64, confidence());
                cases.iter().flat_map(|c| ends(limits(c).expect("counts within trials"))).collect()
            })
        }
        "rate_ratio_test" => {
            let cases = rows();
            timed(|| {
                cases
                    .iter()
                    .map(|c| {
                        rate_ratio::test(group(c[0], c[1]), group(c[2], c[3]), 1.0).expect("a ratio").minlike
                    })
                    .collect()
            })
        }
        "rate_ratio_interval" => {
            let cases = rows();
            timed(|| {
                let limits =
                    |c: &Vec<f64>| rate_ratio::ratio(group(c[0], c[1]), group(c[2], c[3]), confidence());
                cases.iter().map(limits).flat_map(|r| [r.low, r.high]).collect()
            })
        }
        "gamma_inverse" => {
            let cases = rows();
            timed(|| cases.iter().map(|c| gamma::quantile(c[0], Tails::from_lower(c[1]))).collect())
        }
        "beta_inverse" => {
            let cases = rows();
            timed(|| cases.iter().map(|c| beta::quantile(c[0], c[1], Tails::from_lower(c[2])).x).collect())
        }
        "weibull_fit" | "weibull_fit_intervals" | "lognormal_fit" | "exponential_fit" => {
            let model = match method {
                "lognormal_fit" => Model::Lognormal,
                "exponential_fit" => Model::Exponential,
                _ => Model::Weibull,
            };
            let cases = lives(&rows());
            timed(|| {
                let fit = life::fit(&kept(&cases), model).expect("an estimate");
                let found = fit.distribution();
                match model {
                    // Medians are compared, since their logarithm may be next to nothing.
                    Model::Lognormal => vec![found.scale(), found.sigma()],
                    Model::Exponential => vec![found.scale()],
                    Model::Weibull => vec![found.scale(), found.shape()],
                }
            })
        }
        "weibull_profile" => {
            let cases = lives(&rows());
            timed(|| {
                let fit = life::fit(&kept(&cases), Model::Weibull).expect("an estimate");
                [fit.scale_limits(confidence()), fit.shape_limits(confidence())]
                    .into_iter()
                    .flat_map(ends)
                    .collect()
            })
        }
        "survival_curve" => {
            let cases = lives(&rows());
            timed(|| {
                survival::curve(&kept(&cases)).expect("a curve").steps().iter().map(|s| s.survival).collect()
            })
        }
        "log_rank" => {
            let [one, two] = [0, 1].map(|group| lives(&self::rows(&input[group])));
            timed(|| vec![log_rank::compare(&[&kept(&one), &kept(&two)]).expect("events").chi_square])
        }
        "false_discovery" => {
            let p_values = numbers(input);
            timed(|| false_discovery::benjamini_hochberg(&p_values).expect("probabilities"))
        }
        "kappa" => {
            let (one, two) = (whole(&input[0]), whole(&input[1]));
            timed(|| vec![agreement::kappa(&one, &two).expect("as many").kappa.expect("not all alike")])
        }
        "adjusted_rand" => {
            let (one, two) = (whole(&input[0]), whole(&input[1]));
            timed(|| vec![grouping::score(&one, &two).expect("as many").adjusted_rand()])
        }
        "welch" => {
            let pairs: Vec<(Vec<f64>, Vec<f64>)> = input
                .as_array()
                .expect("pairs")
                .iter()
                .map(|pair| (numbers(&pair[0]), numbers(&pair[1])))
                .collect();
            timed(|| {
                let both = |(old, new): &(Vec<f64>, Vec<f64>)| {
                    let both = bench::Comparison::new(old, new).expect("spread");
                    let limits = both.difference_limits(confidence());
                    [both.p_value(), limits.low, limits.high]
                };
                pairs.iter().flat_map(both).collect()
            })
        }
        "two_gammas" => {
            let cell = |c: &Vec<f64>| Cell { count: c[0] as u64, expected: c[1] };
            let cells: Vec<Cell> = rows().iter().map(cell).collect();
            timed(|| match shrinkage::fit_two_gammas(&cells).expect("cells") {
                Fit::NoSignal => Vec::new(),
                Fit::OneGamma { log_likelihood, .. } | Fit::TwoGammas { log_likelihood, .. } => {
                    vec![log_likelihood]
                }
            })
        }
        other => panic!("no method {other}"),
    }
}

fn timed(mut round: impl FnMut() -> Vec<f64>) -> Value {
    let mut best = f64::INFINITY;
    let mut results = Vec::new();
    for _ in 0..ROUNDS {
        let began = Instant::now();
        results = black_box(round());
        best = best.min(began.elapsed().as_secs_f64());
    }
    json!({ "seconds": best, "results": results })
}

fn rows(input: &Value) -> Vec<Vec<f64>> {
    input.as_array().expect("rows").iter().map(numbers).collect()
}

fn numbers(input: &Value) -> Vec<f64> {
    input.as_array().expect("numbers").iter().map(|n| n.as_f64().expect("a number")).collect()
}

fn whole(input: &Value) -> Vec<u64> {
    input.as_array().expect("numbers").iter().map(|n| n.as_u64().expect("a whole number")).collect()
}

/// A row is `[kind, from, to, how many]`: kind 0 failed at `from`, 1 survived to `from`, 2 failed between the two.
fn lives(rows: &[Vec<f64>]) -> Vec<Life> {
    let life = |row: &Vec<f64>| match row[..] {
        [0.0, age, _, times] => Life::failed(age).times(times),
        [1.0, age, _, times] => Life::survived(age).times(times),
        [_, low, high, times] => Life::failed_between(low, high).times(times),
        _ => panic!("a row of {} numbers", row.len()),
    };
    rows.iter().map(life).collect()
}

/// Checking and sorting the lives is a part of each method's time.
fn kept(lives: &[Life]) -> Lifetimes {
    Lifetimes::new(lives.iter().copied()).expect("sound lives")
}

fn ends(interval: Interval) -> [f64; 2] {
    [interval.low, interval.high]
}

fn exposure(amount: f64) -> Exposure {
    Exposure::new(amount).expect("above 0")
}

fn confidence() -> Confidence {
    Confidence::NINETY_FIVE
}

fn group(count: f64, amount: f64) -> Group {
    Group { count: count as u64, exposure: exposure(amount) }
}
