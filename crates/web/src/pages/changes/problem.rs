//! The problem statement a draft begins with, written from the figures of its recurrence.

use domain::analysis::Recurrence;
use domain::field::Field;
use stats::Interval;
use store::RecurrenceRecord;

use crate::error::AppError;
use crate::format;
use crate::pages::recurrences::{part_name, risk_of, sentence};
use crate::state::AppState;

/// Reporters who are quoted.
const MOST_QUOTED: usize = 3;

/// Reports looked at for words.
const LOOKED_AT: u64 = 12;

/// The statement: what fails how often, where, who could get hurt, and what reporters wrote.
pub(super) fn statement(
    field: &Field,
    r: &Recurrence,
    record: Option<&RecurrenceRecord>,
    quotes: &[String],
) -> String {
    let risk = risk_of(field, r, record);
    let mut paragraphs = vec![sentence(field, r, risk.severity), how_often(r)];
    paragraphs.push(format!("Risk: {}.", risk.words()));
    if let Some(cause) = record.and_then(|record| record.cause.as_deref()).filter(|cause| !cause.is_empty()) {
        paragraphs.push(format!("Cause: {cause}"));
    }
    if !quotes.is_empty() {
        paragraphs.push(format!("Reporters wrote: {}", quotes.join(" ")));
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

/// Words of reporters, the latest first, each with its reference.
pub(super) async fn quotes(state: &AppState, part_no: &str, mode: &str) -> Result<Vec<String>, AppError> {
    let page = store::Page::first(LOOKED_AT);
    let reports = state.store().reports_of_recurrence(part_no, mode, page).await?;
    let said = reports.into_iter().filter_map(|line| {
        let words = line.report.narrative.filter(|words| !words.trim().is_empty())?;
        Some(format!("\u{201c}{}\u{201d} ({})", words.trim(), line.report.report_ref))
    });
    Ok(said.take(MOST_QUOTED).collect())
}

#[cfg(test)]
mod tests {
    use crate::pages::recurrences::sample;

    #[test]
    fn the_statement_has_reports_exposure_interval_lots_harm_and_words() {
        let (field, analysis) = sample::field();
        let quotes = ["\u{201c}it split\u{201d} (2025-001)".to_owned()];
        let said = super::statement(&field, &analysis.recurrences[0], Some(&sample::record()), &quotes);
        for words in [
            "13 relevant reports",
            "item-years (",
            "Lot TB-0418 has 9",
            "near miss",
            "Slider worn",
            "it split",
        ] {
            assert!(said.contains(words), "{words}: {said}");
        }
    }
}
