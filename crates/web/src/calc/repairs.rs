//! Repairs of units that go on: how many by an age, and whether it gets worse.

use serde::Deserialize;
use serde_json::Value;
use stats::history::History;
use stats::mean_cumulative::{Point, mean_cumulative};
use stats::power_law::{self, Laplace, PowerLaw};
use stats::{Confidence, StatsError};

use super::answer::{Told, answer};
use super::input::{Count, Number, confidence, plain, read, whole};
use super::say::{at, limits, number};
use super::{Answer, CalcError, Method};

pub(super) const METHODS: [Method; 3] = [
    Method {
        name: "mcf",
        says: "How many repairs a unit has had by each age on average.",
        example: r#"{"conf": 0.95, "units": [{"start": 0, "end": 10, "events": [3, 7]}, {"start": 0, "end": 12, "events": [8]}]}"#,
        run: mcf,
    },
    Method {
        name: "power_law",
        says: "Whether repairs come faster with age: a power-law process for units watched to a time (mode time) or one \
               to its last failure (mode failure), with tests of trend.",
        example: r#"{"mode": "time", "conf": 0.9, "systems": [{"start": 0, "end": 50, "times": [13.5, 26.8, 49]}]}"#,
        run: power_law_process,
    },
    Method {
        name: "power_law_grouped",
        says: "The power-law process fitted to counts of repairs between ages.",
        example: r#"{"edges": [0, 20, 40, 60, 80, 100], "counts": [13, 16, 5, 8, 7]}"#,
        run: grouped,
    },
];

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Watched {
    start: Number,
    end: Number,
    #[serde(alias = "times")]
    events: Vec<Number>,
}

fn histories(units: &[Watched]) -> Result<Vec<History>, StatsError> {
    units.iter().map(|unit| History::new(unit.start.0, unit.end.0, plain(&unit.events))).collect()
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct MeanInput {
    units: Vec<Watched>,
    conf: Number,
}

/// One value of each point, in order.
fn column<T: Told>(points: &[Point], f: impl Fn(&Point) -> T) -> Vec<T> {
    points.iter().map(f).collect()
}

fn mcf(input: &Value) -> Result<Answer, CalcError> {
    let i: MeanInput = read(input)?;
    let conf = confidence(i.conf)?;
    let points = mean_cumulative(&histories(&i.units)?)?;
    let sentence = points.last().map_or_else(
        || "Nothing was repaired.".to_owned(),
        |last| {
            let (mean, age) = (number(last.mean), number(last.age));
            format!(
                "A unit has had {mean} repairs by an age of {age} ({}, {}).",
                limits(last.limits(conf)),
                at(conf)
            )
        },
    );
    Ok(answer! {
        "time": column(&points, |p| p.age), "n_at_risk": column(&points, |p| p.at_risk),
        "d": column(&points, |p| p.repairs), "mcf": column(&points, |p| p.mean),
        "var_lawless_nadeau": column(&points, |p| p.variance), "var_poisson": column(&points, |p| p.poisson_variance),
        "var_nelson_unbiased": column(&points, |p| p.nelson_variance),
        "log_ci_lower": column(&points, |p| p.limits(conf).low), "log_ci_upper": column(&points, |p| p.limits(conf).high),
    }
    .saying(sentence))
}

#[derive(Clone, Copy, Deserialize)]
#[serde(rename_all = "lowercase")]
enum Mode {
    Time,
    Failure,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ProcessInput {
    mode: Mode,
    conf: Number,
    systems: Vec<Watched>,
}

fn power_law_process(input: &Value) -> Result<Answer, CalcError> {
    let i: ProcessInput = read(input)?;
    let (conf, systems) = (confidence(i.conf)?, histories(&i.systems)?);
    let events: usize = systems.iter().map(|system| system.repairs().len()).sum();
    let (fit, laplace) = match (i.mode, systems.as_slice()) {
        (Mode::Time, systems) => (power_law::fit(systems), power_law::laplace(systems)),
        (Mode::Failure, [one]) => (
            power_law::fit_failure_terminated(one.repairs()),
            power_law::laplace_failure_terminated(one.repairs()),
        ),
        (Mode::Failure, more) => {
            let words = format!("systems holds {} but mode failure takes exactly 1", more.len());
            return Err(CalcError::input(words));
        }
    };
    match fit {
        Ok(fit) => Ok(process(&fit, laplace.ok(), events, conf)),
        Err(StatsError::NoEstimate { reason }) => {
            let status = if events == 0 { "no_events" } else { "no_mle" };
            Ok(answer! { "n": events, "status": status }.saying(format!("No estimate exists: {reason}.")))
        }
        Err(refused) => Err(refused.into()),
    }
}

fn process(fit: &PowerLaw, laplace: Option<Laplace>, events: usize, conf: Confidence) -> Answer {
    let trend = fit.trend();
    let mut out = answer! {
        "n": events, "status": "ok", "beta": fit.shape(), "lambda_": fit.scale(), "loglik": fit.log_likelihood(),
        "beta_unbiased": fit.shape_unbiased(),
    };
    out.put_limits("beta_ci", fit.shape_limits(conf), ["_lower", "_upper"]);
    out.put("milhdbk_chi2", trend.map(|t| t.0));
    out.put("milhdbk_df", trend.map(|t| t.1));
    out.put("milhdbk_p_lower_tail", trend.map(|t| t.2.lower));
    out.put("intensity_at_T", fit.intensity_at_end());
    out.put("mtbf_at_T", fit.intensity_at_end().map(f64::recip));
    out.put_limits("mtbf_wald", fit.mtbf_at_end_wald(conf), ["_lower", "_upper"]);
    out.put("cvm", fit.cramer_von_mises());
    out.put("mtbf_at_T_unbiased_beta", fit.intensity_at_end_unbiased().map(f64::recip));
    out.put_limits("nist_mtbf", fit.mtbf_at_end_handbook(conf), ["_lower", "_upper"]);
    out.put("laplace_u", laplace.as_ref().map(|l| l.u));
    out.put("laplace_p_two_sided", laplace.as_ref().map(|l| l.p_value));
    let turn = if fit.shape() > 1.0 { "faster" } else { "slower" };
    let around =
        fit.shape_limits(conf).map(|i| format!(" ({}, {})", limits(i), at(conf))).unwrap_or_default();
    out.saying(format!(
        "Repairs come {turn} with age: shape {}{around}; 1 is a steady rate.",
        number(fit.shape())
    ))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct GroupedInput {
    edges: Vec<Number>,
    counts: Vec<Count>,
}

fn grouped(input: &Value) -> Result<Answer, CalcError> {
    let i: GroupedInput = read(input)?;
    let counts = whole(&i.counts);
    match power_law::grouped(&plain(&i.edges), &counts) {
        Ok(fit) => Ok(answer! {
            "status": "ok", "beta": fit.shape, "lambda_": fit.scale, "loglik": fit.log_likelihood,
            "expected": fit.expected, "intensity_last_interval": fit.last_intensity,
        }),
        Err(StatsError::NoEstimate { reason }) => {
            // The library's reasons are sentences; a program gets a word for each kind.
            let kind = match (counts.iter().any(|n| *n > 0), counts.first().is_some_and(|n| *n > 0)) {
                (false, _) => "no_events",
                (true, true) => "beta_to_zero",
                (true, false) => "beta_to_infinity",
            };
            Ok(answer! { "status": "no_mle", "reason": kind }
                .saying(format!("No estimate exists: {reason}.")))
        }
        Err(refused) => Err(refused.into()),
    }
}
