//! The status table as plain values: one row a change, empty where nothing is known; both files are written from it.

use chrono::NaiveDate;
use domain::change::Wait;

use super::line::Line;
use super::owed::Duties;
use crate::pages::recurrences::Risk;
use crate::view::Sureness;

/// One value.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Value {
    Empty,
    Text(String),
    Number(f64),
    Day(NaiveDate),
}

/// The columns.
pub(super) const COLUMNS: [&str; 39] = [
    "change_no",
    "title",
    "part_no",
    "from_revision",
    "to_revision",
    "modes",
    "state",
    "since",
    "days",
    "waits_for",
    "waits_for_whom",
    "next_action",
    "owed_by",
    "target",
    "days_past_target",
    "severity",
    "probability",
    "risk",
    "risk_judged_by_a_person",
    "failures_a_year_while_it_waits",
    "failures_a_year_low",
    "failures_a_year_high",
    "failures_expected_in_its_wait",
    "failures_expected_in_its_wait_low",
    "failures_expected_in_its_wait_high",
    "reports_before",
    "item_years_before",
    "items_in_service",
    "items_without",
    "items_built_to_it",
    "items_retrofitted",
    "proof",
    "ratio_after_to_before",
    "ratio_low",
    "ratio_high",
    "proof_failures_before",
    "proof_item_years_before",
    "proof_failures_after",
    "proof_item_years_after",
];

fn text(value: Option<impl ToString>) -> Value {
    value.map_or(Value::Empty, |value| Value::Text(value.to_string()))
}

fn number(value: Option<f64>) -> Value {
    value.map_or(Value::Empty, Value::Number)
}

fn count(value: Option<u64>) -> Value {
    number(value.map(|count| count as f64))
}

fn day(value: Option<NaiveDate>) -> Value {
    value.map_or(Value::Empty, Value::Day)
}

/// One row.
pub(super) fn row(line: &Line<'_>, duties: &Duties, today: NaiveDate) -> [Value; COLUMNS.len()] {
    let change = &line.record.change;
    let risk = line.risk.as_ref().map(|(risk, _)| *risk);
    let result = line.result;
    let waits = result.and_then(|result| result.while_waiting);
    let (before, reach) = (result.and_then(|result| result.rate_before), result.map(|result| result.reach));
    let (wait, proof, owed) = (line.wait(), line.proof(), duties.of(line));
    let in_wait = line.expected_in_wait(today);
    let past = owed.target.map(|target| (today - target.day).num_days()).filter(|days| *days > 0);
    let word = |is: bool| if is { "yes" } else { "no" };
    [
        text(Some(&change.change_no)),
        text(Some(&change.title)),
        text(Some(&change.part_no)),
        text(Some(&change.from_revision)),
        text(Some(&change.to_revision)),
        text(Some(change.modes.join(" "))),
        text(Some(line.state)),
        day(line.since),
        number(line.days(today).map(|days| days as f64)),
        text(wait.map(Wait::what)),
        text(wait.map(Wait::whom)),
        text(wait.map(|_| &owed.next)),
        text(wait.map(|_| &owed.who)),
        day(owed.target.map(|target| target.day)),
        number(past.map(|days| days as f64)),
        count(risk.map(|risk| u64::from(risk.severity.number()))),
        text(risk.and_then(|risk| risk.probability)),
        text(risk.and_then(Risk::level)),
        text(risk.map(|risk| word(risk.judged))),
        number(waits.map(|waits| waits.failures_a_year)),
        number(waits.map(|waits| waits.low)),
        number(waits.map(|waits| waits.high)),
        number(in_wait.map(|(best, ..)| best)),
        number(in_wait.map(|(_, low, _)| low)),
        number(in_wait.map(|(.., high)| high)),
        count(before.map(|rate| rate.occasions)),
        number(before.map(|rate| rate.item_years)),
        count(reach.map(|reach| reach.in_service)),
        count(reach.map(|reach| reach.without)),
        count(reach.map(|reach| reach.built)),
        count(reach.map(|reach| reach.retrofitted)),
        text(line.sureness().map(Sureness::word)),
        number(proof.and_then(|proof| proof.ratio)),
        number(proof.and_then(|proof| proof.anytime_low)),
        number(proof.and_then(|proof| proof.anytime_high)),
        count(proof.map(|proof| proof.failures_before)),
        number(proof.map(|proof| proof.item_years_before)),
        count(proof.map(|proof| proof.failures_after)),
        number(proof.map(|proof| proof.item_years_after)),
    ]
}
