//! Survival without a distribution assumed: the curve, and whether groups fail alike.

use serde::Deserialize;
use serde_json::Value;
use stats::lifetimes::{Life, Lifetimes};
use stats::survival::{self, Step};
use stats::{StatsError, log_rank};

use super::answer::{Told, answer};
use super::input::{Number, confidence, read};
use super::say::number;
use super::words::{Flag, Label};
use super::{Answer, CalcError, Method};

pub(super) const METHODS: [Method; 2] = [
    Method {
        name: "km_na",
        says: "Which share survives to each age (Kaplan-Meier), and the cumulative hazard (Nelson-Aalen); event is 1 for a \
               failure, 0 for a survivor, entry the age at which watching began.",
        example: r#"{"conf": 0.95, "entry": [0, 0, 0, 2, 0], "exit": [5, 6, 7, 8, 9], "event": [1, 1, 0, 1, 0], "weight": [1, 1, 1, 1, 1]}"#,
        run: km_na,
    },
    Method {
        name: "logrank",
        says: "Whether groups fail alike at every age.",
        example: r#"{"entry": [0, 0, 0, 0, 0, 0], "exit": [5, 7, 9, 6, 8, 12], "event": [1, 1, 0, 0, 1, 0], "weight": [1, 1, 1, 1, 1, 1], "group": ["a", "a", "a", "b", "b", "b"]}"#,
        run: logrank,
    },
];

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CurveInput {
    conf: Number,
    entry: Vec<Number>,
    exit: Vec<Number>,
    event: Vec<Flag>,
    weight: Vec<Number>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct GroupsInput {
    entry: Vec<Number>,
    exit: Vec<Number>,
    event: Vec<Flag>,
    weight: Vec<Number>,
    group: Vec<Label>,
}

/// One life a place in the lists, which must be equally long.
fn lives(
    entry: &[Number],
    exit: &[Number],
    event: &[Flag],
    weight: &[Number],
) -> Result<Vec<Life>, StatsError> {
    for (second, length) in [("entries", entry.len()), ("events", event.len()), ("weights", weight.len())] {
        same_length(second, exit.len(), length)?;
    }
    let rows = exit.iter().zip(event).zip(entry).zip(weight);
    Ok(rows
        .map(|(((exit, event), entry), weight)| {
            let life = if event.0 { Life::failed(exit.0) } else { Life::survived(exit.0) };
            life.watched_from(entry.0).times(weight.0)
        })
        .collect())
}

fn same_length(second: &'static str, exits: usize, others: usize) -> Result<(), StatsError> {
    if exits == others {
        return Ok(());
    }
    Err(StatsError::LengthsDiffer { first: "exits", second, lengths: (exits, others) })
}

/// One value of each step, in order.
fn column<T: Told>(steps: &[Step], f: impl Fn(&Step) -> T) -> Vec<T> {
    steps.iter().map(f).collect()
}

fn km_na(input: &Value) -> Result<Answer, CalcError> {
    let i: CurveInput = read(input)?;
    let conf = confidence(i.conf)?;
    let curve = survival::curve(&Lifetimes::new(lives(&i.entry, &i.exit, &i.event, &i.weight)?)?)?;
    let steps = curve.steps();
    let sentence = curve.median().map_or_else(
        || "Fewer than half have failed by the last age seen.".to_owned(),
        |median| format!("Half have failed by an age of {}.", number(median)),
    );
    Ok(answer! {
        "time": column(steps, |s| s.age), "n_risk": column(steps, |s| s.at_risk),
        "n_event": column(steps, |s| s.failed), "surv": column(steps, |s| s.survival),
        "greenwood_var_of_surv": column(steps, |s| s.standard_error().map(|e| e * e)),
        "se_surv": column(steps, Step::standard_error),
        "loglog_lower": column(steps, |s| s.limits(conf).map(|i| i.low)),
        "loglog_upper": column(steps, |s| s.limits(conf).map(|i| i.high)),
        "na_cumhaz": column(steps, |s| s.hazard), "na_var": column(steps, |s| s.hazard_variance),
        "na_var_greenwood": column(steps, |s| s.hazard_variance_binomial),
        "median": curve.median(),
    }
    .saying(sentence))
}

fn logrank(input: &Value) -> Result<Answer, CalcError> {
    let i: GroupsInput = read(input)?;
    let lives = lives(&i.entry, &i.exit, &i.event, &i.weight)?;
    same_length("groups", lives.len(), i.group.len())?;
    let mut names: Vec<&Label> = i.group.iter().collect();
    names.sort_unstable();
    names.dedup();
    let of = |name: &&Label| {
        let own = lives.iter().zip(&i.group).filter(|(_, group)| group == name);
        Lifetimes::new(own.map(|(life, _)| *life))
    };
    let groups: Vec<Lifetimes> = names.iter().map(of).collect::<Result<_, _>>()?;
    let test = log_rank::compare(&groups.iter().collect::<Vec<_>>())?;
    let column = |f: fn(&log_rank::Group) -> f64| test.groups.iter().map(f).collect::<Vec<_>>();
    Ok(answer! {
        "groups": names.into_iter().cloned().collect::<Vec<_>>(),
        "observed": column(|g| g.observed), "expected": column(|g| g.expected), "variance_diag": column(|g| g.variance),
        "chi2": test.chi_square, "df": test.freedom, "p": test.p_value,
    }
    .saying(format!("Groups that fail alike differ this much with a chance of {}.", number(test.p_value))))
}
