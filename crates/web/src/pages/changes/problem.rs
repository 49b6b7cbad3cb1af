//! The problem statement a draft begins with, written from the figures of its recurrence.

use domain::analysis::Recurrence;
use domain::field::Field;
use stats::Interval;
use store::RecurrenceRecord;

use crate::error::AppError;
use crate::format;
use crate::pages::recurrences::{part_name, risk_of, sentence};
use crate::state::AppState;

/// Reports that are pointed to.
const MOST_POINTED_TO: usize = 3;

/// Reports looked at for words.
const LOOKED_AT: u64 = 12;

/// The statement: what fails how often, where, who could get hurt, and in which reports that is told. It doesn't quote them:
/// more people read a change than what units wrote.
pub(super) fn statement(
    field: &Field,
    r: &Recurrence,
    record: Option<&RecurrenceRecord>,
    told_in: &[String],
) -> String {
    let risk = risk_of(field, r, record);
    let mut paragraphs = vec![sentence(field, r, risk.severity), how_often(r)];
    paragraphs.push(format!("Risk: {}.", risk.words()));
    if let Some(cause) = record.and_then(|record| record.cause.as_deref()).filter(|cause| !cause.is_empty()) {
        paragraphs.push(format!("Cause: {cause}"));
    }
    if !told_in.is_empty() {
        paragraphs.push(format!("In the units' own words: {}.", told_in.join(", ")));
    }
    paragraphs.join("\n")
}

fn how_often(r: &Recurrence) -> String {
    match r.rate {
        Some(rate) => {
            let ends = Interval { low: rate.low, high: rate.high };
            format!("{}.", format::rate(rate.estimate, ends, rate.occasions, rate.item_years))
        }
        None => "No rate can be given, for no issue of it is on record.".to_owned(),
    }
}

/// The part's plain name.
pub(super) fn part_words<'a>(field: &'a Field, r: &Recurrence) -> &'a str {
    part_name(field, r.part)
}

/// A title to begin with.
pub(super) fn title(field: &Field, r: &Recurrence) -> String {
    let name = part_name(field, r.part);
    let mode = &field.modes[r.mode].name;
    format!("Change the {} against {}", name.to_lowercase(), mode.to_lowercase())
}

/// References of reports with words in them, the latest first.
pub(super) async fn told_in(state: &AppState, part_no: &str, mode: &str) -> Result<Vec<String>, AppError> {
    let page = store::Page::first(LOOKED_AT);
    let reports = state.store().reports_of_recurrence(part_no, mode, page).await?;
    let told = reports.into_iter().map(|line| line.report);
    let told = told.filter(|report| report.narrative.as_ref().is_some_and(|words| !words.trim().is_empty()));
    Ok(told.take(MOST_POINTED_TO).map(|report| report.report_ref).collect())
}

#[cfg(test)]
mod tests {
    use crate::pages::recurrences::sample;

    #[test]
    fn the_statement_has_reports_exposure_interval_lots_harm_and_where_it_is_told() {
        let (field, analysis) = sample::field();
        let told_in = ["2025-001".to_owned(), "2025-004".to_owned()];
        let said = super::statement(&field, &analysis.recurrences[0], Some(&sample::record()), &told_in);
        for words in [
            "13 relevant reports",
            "item-years (",
            "Lot TB-0418 has 9",
            "near miss",
            "Slider worn",
            "In the units' own words: 2025-001, 2025-004.",
        ] {
            assert!(said.contains(words), "{words}: {said}");
        }
    }
}
