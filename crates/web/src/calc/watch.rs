//! Watching a rate over time: CUSUM charts and the scan for a stretch with too many.

use serde::Deserialize;
use serde_json::Value;
use stats::cusum::{self, Alarm, Cusum, Lattice, Side};
use stats::scan::{Series, exact_p_value, simulated_p_value};

use super::answer::answer;
use super::draws::Draws;
use super::input::{Count, Number, names, plain, read, whole};
use super::say::number;
use super::words::Fraction;
use super::{Answer, CalcError, Method};

pub(super) const METHODS: [Method; 3] = [
    Method {
        name: "cusum_arl",
        says: "How long a Poisson CUSUM runs on average before it signals; k, h and head_start are exact fractions, alarm is \
               ge or gt, side upper or lower.",
        example: r#"{"mean": 0.25, "k": "1/4", "h": "10", "head_start": "5", "alarm": "ge", "side": "upper"}"#,
        run: run_length,
    },
    Method {
        name: "cusum_paths",
        says: "The scores and alarms of a CUSUM over periods of varying exposure, or its reference rate for two rates mu0, mu1.",
        example: r#"{"counts": [0, 2, 1, 4, 3], "exposure": [100, 120, 110, 130, 125], "mu0": 0.01, "rate_ratio": 2, "h": 2.5}"#,
        run: path,
    },
    Method {
        name: "temporal_scan",
        says: "The stretch of periods with the most unusual number of events, and how often chance alone shows one as unusual; \
               replicates and seed may be given.",
        example: r#"{"counts": [0, 1, 3, 3, 0, 0], "exposure": [2, 2, 1, 1, 2, 2], "max_window": 3}"#,
        run: scan,
    },
];

/// Replicates where the input names none.
const REPLICATES: u64 = 99_999;
/// Events times replicates, beyond which a scan would run for minutes.
const MOST_DRAWS: u64 = 2_000_000_000;

#[derive(Clone, Copy, Deserialize)]
#[serde(rename_all = "lowercase")]
enum Rule {
    Ge,
    Gt,
}

#[derive(Clone, Copy, Deserialize)]
#[serde(rename_all = "lowercase")]
enum Direction {
    Upper,
    Lower,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RunInput {
    mean: Number,
    k: Fraction,
    h: Fraction,
    head_start: Fraction,
    alarm: Rule,
    side: Direction,
}

fn run_length(input: &Value) -> Result<Answer, CalcError> {
    let i: RunInput = read(input)?;
    let all = [i.k, i.h, i.head_start];
    let too_fine =
        || CalcError::input("k, h and head_start need too many parts in common; take simpler fractions");
    let parts = Fraction::common_parts(&all).ok_or_else(too_fine)?;
    let [reference, threshold, head_start] = all.map(|one| one.parts_of(parts));
    let (Some(reference), Some(threshold), Some(head_start)) = (reference, threshold, head_start) else {
        return Err(too_fine());
    };
    let side = match i.side {
        Direction::Upper => Side::Upper,
        Direction::Lower => Side::Lower,
    };
    let alarm = match i.alarm {
        Rule::Ge => Alarm::AtLeast,
        Rule::Gt => Alarm::Above,
    };
    let chart = Lattice { parts, reference, threshold, head_start, side, alarm };
    let length = cusum::average_run_length(i.mean.0, &chart)?;
    Ok(answer! { "arl": length }.saying(format!("It signals after {} periods on average.", number(length))))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WeightInput {
    mu0: Number,
    mu1: Number,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PathInput {
    counts: Vec<Count>,
    exposure: Vec<Number>,
    mu0: Number,
    rate_ratio: Number,
    h: Number,
}

fn path(input: &Value) -> Result<Answer, CalcError> {
    if names(input, "mu1") {
        let i: WeightInput = read(input)?;
        let weight = cusum::log_weight(i.mu0.0, i.mu1.0)?;
        let k = cusum::reference_rate(i.mu0.0, i.mu1.0)?;
        return Ok(answer! { "k": k, "log_weight": weight, "llr_slope_per_unit_exposure": k * weight });
    }
    let i: PathInput = read(input)?;
    let rate1 = i.mu0.0 * i.rate_ratio.0;
    let weight = cusum::log_weight(i.mu0.0, rate1)?;
    let chart = Cusum {
        reference_rate: cusum::reference_rate(i.mu0.0, rate1)?,
        threshold: i.h.0,
        head_start: 0.0,
        side: Side::Upper,
        alarm: Alarm::AtLeast,
    };
    let path = chart.path(&whole(&i.counts), &plain(&i.exposure))?;
    let alarms: Vec<usize> =
        path.iter().enumerate().filter(|(_, step)| step.alarm).map(|(at, _)| at).collect();
    let sentence = alarms.first().map_or_else(
        || "No alarm.".to_owned(),
        |first| format!("{} alarms, the first in period {} counted from 1.", alarms.len(), first + 1),
    );
    Ok(answer! {
        "k_rate": chart.reference_rate,
        "s": path.iter().map(|step| step.score).collect::<Vec<_>>(),
        "s_in_llr_units": path.iter().map(|step| step.score * weight).collect::<Vec<_>>(),
        "alarms": alarms,
    }
    .saying(sentence))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ScanInput {
    counts: Vec<Count>,
    exposure: Vec<Number>,
    max_window: Count,
    replicates: Option<Count>,
    seed: Option<Count>,
}

fn scan(input: &Value) -> Result<Answer, CalcError> {
    let i: ScanInput = read(input)?;
    let counts = whole(&i.counts);
    let longest = usize::try_from(i.max_window.0).unwrap_or(usize::MAX).min(counts.len());
    let series = Series::new(&counts, &plain(&i.exposure), longest)?;
    let replicates = i.replicates.map_or(REPLICATES, |n| n.0);
    let events = counts.iter().fold(0_u64, |sum, n| sum.saturating_add(*n));
    if events.saturating_mul(replicates) > MOST_DRAWS {
        let most = MOST_DRAWS / replicates;
        let words =
            format!("counts add up to {events} but must be at most {most} for {replicates} replicates");
        return Err(CalcError::input(words));
    }
    let mut draws = Draws::new(i.seed);
    let drawn = simulated_p_value(&series, replicates as u32, &mut || draws.next())?;
    let window = series.most_unusual();
    let sentence = window.map_or_else(
        || "No stretch has more than its share.".to_owned(),
        |w| {
            let (start, end) = (w.start + 1, w.end + 1);
            let (expected, chance) = (number(w.expected), number(drawn));
            let seen = w.observed;
            format!("Periods {start} to {end} saw {seen} with {expected} expected; chance alone: {chance}.")
        },
    );
    Ok(answer! {
        "llr": window.map_or(0.0, |w| w.log_likelihood_ratio),
        "start": window.map(|w| w.start), "end": window.map(|w| w.end),
        "observed": window.map_or(0, |w| w.observed), "expected": window.map_or(0.0, |w| w.expected),
        "relative_risk": window.map(|w| w.relative_risk),
        "p_exact": exact_p_value(&series), "p_mc": drawn, "mc_replicates": replicates,
    }
    .saying(sentence))
}
