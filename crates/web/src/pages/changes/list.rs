//! The list of all changes: what stands where since when, and who is waited for.

use chrono::NaiveDate;
use domain::change::{ChangeState as S, Wait};
use domain::permission::Actor;
use serde::Serialize;
use store::ChangeRecord;

use crate::address;
use crate::format;
use crate::pages::status::words::nothing_awaited;
use crate::templates::Page;
use crate::view::{Empty, Place, Shell};

/// The page.
#[derive(Serialize)]
pub struct ChangesPage {
    shell: Shell,
    rows: Vec<Row>,
    empty: Option<Empty>,
}

#[derive(Serialize)]
struct Row {
    address: String,
    change_no: String,
    title: String,
    part_no: String,
    revisions: String,
    state: &'static str,
    since: Option<String>,
    wait: Option<String>,
    waits_for: Option<&'static str>,
    /// What is said where nobody is waited for.
    nothing: String,
}

impl ChangesPage {
    /// All changes: those that wait first, the oldest wait first; then the settled ones, the latest first.
    pub(super) fn new(actor: &Actor, records: &[ChangeRecord], today: NaiveDate) -> Self {
        let mut sorted: Vec<&ChangeRecord> = records.iter().collect();
        let state = |record: &ChangeRecord| record.change.state.unwrap_or(S::Draft);
        sorted.sort_by_key(|record| (record.since, record.change.change_no.clone()));
        let (settled, mut waiting): (Vec<_>, Vec<_>) =
            sorted.into_iter().partition(|record| state(record).waits_for().is_none());
        waiting.extend(settled.into_iter().rev());
        let empty = Empty::first(
            "There is no change yet. A change is drafted from a recurrence.",
            "To the recurrences",
            "/recurrences",
        );
        Self {
            shell: Shell::inside("Changes", actor, Place::Changes),
            empty: waiting.is_empty().then_some(empty),
            rows: waiting.into_iter().map(|record| row(record, state(record), today)).collect(),
        }
    }
}

fn row(record: &ChangeRecord, state: S, today: NaiveDate) -> Row {
    let change = &record.change;
    let since = record.since.map(|at| at.date_naive());
    Row {
        address: address::change(&change.change_no),
        change_no: change.change_no.clone(),
        title: change.title.clone(),
        part_no: change.part_no.clone(),
        revisions: format!("{} \u{2192} {}", change.from_revision, change.to_revision),
        state: state.word(),
        since: since.map(format::date),
        wait: since.filter(|_| state.waits_for().is_some()).map(|day| format::span(day, today)),
        waits_for: state.waits_for().map(Wait::whom),
        nothing: nothing_awaited(state),
    }
}

impl Page for ChangesPage {
    const TEMPLATE: &'static str = "pages/changes/list";

    fn samples() -> Vec<Self> {
        let engineer = crate::pages::recurrences::sample::engineer();
        let records = super::sample::records();
        let today = super::sample::today();
        vec![Self::new(&engineer, &records, today), Self::new(&engineer, &[], today)]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_waits_longest_comes_first_and_what_is_settled_last() {
        let engineer = crate::pages::recurrences::sample::engineer();
        let mut records = super::super::sample::records();
        records.truncate(3);
        for (record, (state, day)) in
            records.iter_mut().zip([(S::Withdrawn, 1), (S::Submitted, 9), (S::Draft, 5)])
        {
            record.change.state = Some(state);
            record.since = chrono::DateTime::from_timestamp(day * 86_400, 0);
        }
        let page = ChangesPage::new(&engineer, &records, super::super::sample::today());
        let states: Vec<_> = page.rows.iter().map(|row| (row.state, row.waits_for)).collect();
        let (draft, submitted) = (("draft", Some("the engineer")), ("submitted", Some("the board")));
        assert_eq!(states, [draft, submitted, ("withdrawn", None)]);
        assert_eq!(page.rows[2].nothing, "Nothing is awaited: it is withdrawn.");
    }
}
