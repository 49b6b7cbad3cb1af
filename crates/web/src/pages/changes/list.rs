//! The list of all changes: what stands where since when, and who is waited for.

use chrono::NaiveDate;
use domain::change::Wait;
use domain::permission::Actor;
use serde::Serialize;

use crate::address;
use crate::format;
use crate::pages::status::line::{Line, lines};
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
    pub(super) fn new(actor: &Actor, lines: &[Line<'_>], today: NaiveDate) -> Self {
        let mut sorted: Vec<&Line<'_>> = lines.iter().collect();
        sorted.sort_by_key(|line| (line.since, &line.record.change.change_no));
        let (settled, mut waiting): (Vec<_>, Vec<_>) =
            sorted.into_iter().partition(|line| line.wait().is_none());
        waiting.extend(settled.into_iter().rev());
        let empty = Empty::first(
            "There is no change yet. A change is drafted from a recurrence.",
            "To the recurrences",
            "/recurrences",
        );
        Self {
            shell: Shell::inside("Changes", actor, Place::Changes),
            empty: waiting.is_empty().then_some(empty),
            rows: waiting.into_iter().map(|line| row(line, today)).collect(),
        }
    }
}

fn row(line: &Line<'_>, today: NaiveDate) -> Row {
    let (change, state, wait) = (&line.record.change, line.state, line.wait());
    Row {
        address: address::change(&change.change_no),
        change_no: change.change_no.clone(),
        title: change.title.clone(),
        part_no: change.part_no.clone(),
        revisions: format!("{} \u{2192} {}", change.from_revision, change.to_revision),
        state: state.word(),
        since: line.since.map(format::date),
        wait: line.since.filter(|_| wait.is_some()).map(|day| format::span(day, today)),
        waits_for: wait.map(Wait::whom),
        nothing: nothing_awaited(state),
    }
}

impl Page for ChangesPage {
    const TEMPLATE: &'static str = "pages/changes/list";

    fn samples() -> Vec<Self> {
        let engineer = crate::pages::recurrences::sample::engineer();
        let (loaded, today) = (super::sample::loaded(), super::sample::today());
        let all: Vec<Line<'_>> =
            loaded.iter().flat_map(|one| lines(one.seen(), std::slice::from_ref(&one.record), &[])).collect();
        vec![Self::new(&engineer, &all, today), Self::new(&engineer, &[], today)]
    }
}

#[cfg(test)]
mod tests {
    use domain::analysis::analyse;
    use domain::change::ChangeState as S;
    use domain::field::Field;

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
        let field = Field::default();
        let analysis = analyse(&field, super::super::sample::today());
        let lines = lines((&field, &analysis), &records, &[]);
        let page = ChangesPage::new(&engineer, &lines, super::super::sample::today());
        let states: Vec<_> = page.rows.iter().map(|row| (row.state, row.waits_for)).collect();
        let (draft, submitted) = (("draft", Some("the engineer")), ("submitted", Some("the board")));
        assert_eq!(states, [draft, submitted, ("withdrawn", None)]);
        assert_eq!(page.rows[2].nothing, "Nothing is awaited: it is withdrawn.");
    }
}
