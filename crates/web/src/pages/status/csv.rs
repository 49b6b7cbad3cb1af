//! The status table as a file for a spreadsheet: one row a change, plain numbers, empty where nothing is known.

use chrono::NaiveDate;

use super::line::Line;
use crate::error::AppError;
use crate::format::harmless;

const COLUMNS: [&str; 32] = [
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
    "severity",
    "probability",
    "risk",
    "risk_judged_by_a_person",
    "failures_a_year_while_it_waits",
    "failures_a_year_low",
    "failures_a_year_high",
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

/// The file.
///
/// # Errors
/// Memory that can't be written to.
pub(super) fn write(lines: &[Line<'_>], today: NaiveDate) -> Result<Vec<u8>, AppError> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(COLUMNS).map_err(AppError::inside)?;
    for line in lines {
        let row = row(line, today);
        writer.write_record(row.iter().map(|cell| harmless(cell))).map_err(AppError::inside)?;
    }
    writer.into_inner().map_err(|error| AppError::inside(error.into_error()))
}

fn row(line: &Line<'_>, today: NaiveDate) -> [String; COLUMNS.len()] {
    let change = &line.record.change;
    let risk = line.risk.as_ref().map(|(risk, _)| *risk);
    let result = line.result;
    let waits = result.and_then(|result| result.while_waiting);
    let (before, reach) = (result.and_then(|result| result.rate_before), result.map(|result| result.reach));
    let (wait, proof) = (line.wait(), line.proof());
    let word = |is: bool| if is { "yes" } else { "no" };
    [
        change.change_no.clone(),
        change.title.clone(),
        change.part_no.clone(),
        change.from_revision.clone(),
        change.to_revision.clone(),
        change.modes.join(" "),
        line.state.to_string(),
        cell(line.since),
        cell(line.days(today)),
        cell(wait.map(domain::change::Wait::what)),
        cell(wait.map(domain::change::Wait::whom)),
        cell(risk.map(|risk| risk.severity.number())),
        cell(risk.and_then(|risk| risk.probability)),
        cell(risk.and_then(crate::pages::recurrences::Risk::level)),
        cell(risk.map(|risk| word(risk.judged))),
        cell(waits.map(|waits| waits.failures_a_year)),
        cell(waits.map(|waits| waits.low)),
        cell(waits.map(|waits| waits.high)),
        cell(before.map(|rate| rate.occasions)),
        cell(before.map(|rate| rate.item_years)),
        cell(reach.map(|reach| reach.in_service)),
        cell(reach.map(|reach| reach.without)),
        cell(reach.map(|reach| reach.built)),
        cell(reach.map(|reach| reach.retrofitted)),
        cell(line.sureness().map(crate::view::Sureness::word)),
        cell(proof.and_then(|proof| proof.ratio)),
        cell(proof.and_then(|proof| proof.anytime_low)),
        cell(proof.and_then(|proof| proof.anytime_high)),
        cell(proof.map(|proof| proof.failures_before)),
        cell(proof.map(|proof| proof.item_years_before)),
        cell(proof.map(|proof| proof.failures_after)),
        cell(proof.map(|proof| proof.item_years_after)),
    ]
}

fn cell(value: Option<impl ToString>) -> String {
    value.map(|value| value.to_string()).unwrap_or_default()
}
