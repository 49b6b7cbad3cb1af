//! What has come in since the figures in a record's words: the one sentence that sheet, decision, docket and papers show.

use domain::change::ChangeState;
use store::{ChangeRecord, NewReports};

use super::load::Loaded;
use crate::error::AppError;
use crate::format;
use crate::state::AppState;
use crate::view::Caution;

/// The counts, as long as something may still be decided on them: once lots are built, the proof tells of what comes in.
pub(super) async fn find(state: &AppState, record: &ChangeRecord) -> Result<Option<NewReports>, AppError> {
    let stands = record.change.state.unwrap_or(ChangeState::Draft);
    if stands.is_built() || stands == ChangeState::Withdrawn {
        return Ok(None);
    }
    Ok(state.store().reports_since_written(record).await?)
}

/// The sentence as a caution, with the alarm where there is harm; nothing where nothing came in.
pub(super) fn told(loaded: &Loaded) -> Vec<Caution> {
    let new = loaded.since.filter(|new| new.reports > 0);
    let caution = |new: NewReports| Caution { words: words(&new), harm: harmed(&new) > 0 };
    new.map(caution).into_iter().collect()
}

fn harmed(new: &NewReports) -> u64 {
    new.near_misses + new.injuries
}

fn words(new: &NewReports) -> String {
    let since = format::date(new.since.date_naive());
    let reports = format::counted(new.reports, "more report", "more reports");
    let kinds = [(new.injuries, "injury", "injuries"), (new.near_misses, "near miss", "near misses")];
    let kinds: Vec<String> = kinds
        .into_iter()
        .filter(|(count, ..)| *count > 0)
        .map(|(count, one, many)| format::counted(count, one, many))
        .collect();
    if kinds.is_empty() {
        return format!("Since this was written on {since}: {reports}, none of them with harm.");
    }
    let harmed = format::count(harmed(new));
    format!(
        "Since this was written on {since}: {reports}, of them {harmed} with harm ({}).",
        kinds.join(", ")
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_sentence_counts_what_came_in_and_names_the_harm() {
        let since = chrono::DateTime::from_timestamp(1_772_539_200, 0).unwrap();
        let said =
            |reports, near_misses, injuries| words(&NewReports { since, reports, near_misses, injuries });
        assert_eq!(
            said(1, 0, 0),
            "Since this was written on 3 Mar 2026: 1 more report, none of them with harm."
        );
        assert_eq!(
            said(4, 2, 1),
            "Since this was written on 3 Mar 2026: 4 more reports, of them 3 with harm (1 injury, 2 near misses)."
        );
    }
}
