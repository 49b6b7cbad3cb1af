//! The page of the status table.

use chrono::NaiveDate;
use domain::change::{ChangeState, Wait};
use domain::permission::Actor;
use serde::Serialize;

use super::line::Line;
use super::owed::Duties;
use super::sort::{Filter, Sort};
use super::words;
use crate::address;
use crate::format;
use crate::templates::Page;
use crate::view::{Empty, Place, Shell, Sureness};

/// The table.
#[derive(Serialize)]
pub struct StatusPage {
    pub(super) shell: Shell,
    states: Vec<(&'static str, String, bool)>,
    whoms: Vec<(&'static str, &'static str, bool)>,
    sort: String,
    shown: String,
    csv: String,
    xlsx: String,
    heads: Vec<Head>,
    by_wait: Option<String>,
    groups: Vec<Group>,
    empty: Empty,
    /// How long units wait for their answers.
    pub(super) answers: Vec<String>,
}

/// A head that the table may be sorted by.
#[derive(Serialize)]
struct Head {
    word: &'static str,
    address: Option<String>,
    sorted: bool,
}

/// Changes that wait for the same, or all of them in another order.
#[derive(Serialize)]
struct Group {
    head: String,
    rows: Vec<Row>,
}

#[derive(Serialize)]
struct Row {
    address: String,
    change_no: String,
    title: String,
    part: String,
    state: &'static str,
    since: String,
    wait: String,
    target: Option<(String, bool)>,
    next: String,
    who: Option<String>,
    risk: Option<(String, String)>,
    cost: String,
    in_wait: Option<String>,
    reach: String,
    reach_by: String,
    sureness: Option<Sureness>,
    proof: Option<String>,
}

impl StatusPage {
    /// The lines that pass, in the order asked for.
    pub(super) fn new(
        actor: &Actor,
        lines: &[Line<'_>],
        duties: &Duties,
        filter: &Filter,
        today: NaiveDate,
    ) -> Self {
        let passing = filter.narrow(lines);
        let sort = filter.sort();
        let order =
            Sort::UNDER_HEADS.iter().find(|(one, ..)| *one == sort).map(|(.., head)| head.to_lowercase());
        let shown = order.as_ref().map_or_else(
            || "Oldest wait first within what is waited for.".to_owned(),
            |head| match sort {
                // Numbers keep their order.
                Sort::Change => format!("Sorted by {head}."),
                _ => format!("Sorted by {head}; where nothing is awaited, last."),
            },
        );
        Self {
            shell: Shell::inside("Status", actor, Place::Status),
            states: states(&filter.state),
            whoms: whoms(&filter.whom),
            sort: filter.sort.clone(),
            shown: format!(
                "{shown} {} of {}, as of {}.",
                format::count(passing.len() as u64),
                format::counted(lines.len() as u64, "change", "changes"),
                format::date(today)
            ),
            csv: filter.address("/status.csv", &filter.sort),
            xlsx: filter.address("/status.xlsx", &filter.sort),
            heads: heads(filter),
            by_wait: (sort != Sort::Wait).then(|| filter.address("/status", "")),
            groups: groups(&passing, duties, order, today),
            answers: Vec::new(),
            empty: if lines.is_empty() {
                Empty::first(
                    "No changes yet. A change is drafted from a recurrence.",
                    "See what keeps failing",
                    "/recurrences",
                )
            } else {
                Empty::first("No change stands there.", "Show all", "/status")
            },
        }
    }
}

fn groups(passing: &[&Line<'_>], duties: &Duties, order: Option<String>, today: NaiveDate) -> Vec<Group> {
    let rows = |passes: &dyn Fn(&Line<'_>) -> bool| -> Vec<Row> {
        passing.iter().filter(|line| passes(line)).map(|line| row(line, duties, today)).collect()
    };
    let groups: Vec<Group> = match order {
        Some(head) => vec![Group { head: format!("All, by {head}"), rows: rows(&|_| true) }],
        None => Wait::ALL
            .into_iter()
            .map(Some)
            .chain([None])
            .map(|wait| Group {
                head: wait.map_or_else(
                    || "Nothing is awaited".to_owned(),
                    |wait| format!("Waiting for {}: {}", wait.whom(), wait.what()),
                ),
                rows: rows(&|line| line.wait() == wait),
            })
            .collect(),
    };
    groups.into_iter().filter(|group| !group.rows.is_empty()).collect()
}

/// The heads in the order of the columns.
fn heads(filter: &Filter) -> Vec<Head> {
    let plain = |word| Head { word, address: None, sorted: false };
    let by = |wanted: Sort| {
        let (sort, key, word) =
            Sort::UNDER_HEADS.into_iter().find(|(sort, ..)| *sort == wanted).unwrap_or(Sort::UNDER_HEADS[0]);
        Head { word, address: Some(filter.address("/status", key)), sorted: filter.sort() == sort }
    };
    vec![
        by(Sort::Change),
        by(Sort::Since),
        plain("Next, and who owes it"),
        by(Sort::Risk),
        by(Sort::Failures),
        by(Sort::Reach),
        plain("Proof"),
    ]
}

fn states(chosen: &str) -> Vec<(&'static str, String, bool)> {
    let any = ("", "any".to_owned(), chosen.is_empty());
    let each = ChangeState::ALL.iter().map(|state| (state.word(), state.to_string(), state.word() == chosen));
    std::iter::once(any).chain(each).collect()
}

fn whoms(chosen: &str) -> Vec<(&'static str, &'static str, bool)> {
    let any = ("", "anybody", chosen.is_empty());
    let each = Filter::whoms().into_iter().map(|whom| (whom, whom, whom == chosen));
    std::iter::once(any).chain(each).collect()
}

fn row(line: &Line<'_>, duties: &Duties, today: NaiveDate) -> Row {
    let (change, owed) = (&line.record.change, duties.of(line));
    let target = owed.target_words(today);
    let (next, who) = match line.wait() {
        Some(_) => (format::titled(&owed.next), Some(owed.who)),
        None => (words::nothing_awaited(line.state), None),
    };
    Row {
        address: address::change(&change.change_no),
        change_no: change.change_no.clone(),
        title: change.title.clone(),
        part: format!("{} {} to {}", change.part_no, change.from_revision, change.to_revision),
        state: line.state.word(),
        since: line.since.map_or_else(|| "not on record".into(), format::date),
        wait: line
            .since
            .filter(|_| line.wait().is_some())
            .map(|since| format::span(since, today))
            .unwrap_or_default(),
        target,
        next,
        who,
        risk: line.risk.as_ref().map(|(risk, address)| (risk.words(), address.clone())),
        cost: words::cost(line),
        in_wait: words::in_wait(line, today),
        reach: words::reach(line),
        reach_by: format!("/status/{}", address::segment(&change.change_no)),
        sureness: line.sureness(),
        proof: words::proof(line),
    }
}

impl Page for StatusPage {
    const TEMPLATE: &'static str = "pages/status/status";

    fn samples() -> Vec<Self> {
        let actor = crate::pages::recurrences::sample::engineer();
        let today = NaiveDate::from_ymd_opt(2026, 3, 12).unwrap_or_default();
        let row = |full: bool, late: bool| Row {
            address: "/changes/2026-014".into(),
            change_no: "2026-014".into(),
            title: "Coated slider".into(),
            part: "RC-131 A to B".into(),
            state: "submitted",
            since: "3 Mar 2026".into(),
            wait: if full { "9 days".into() } else { String::new() },
            target: full.then(|| ("9 days past its target of 3 Mar 2026".into(), late)),
            next: "A decision".into(),
            who: full.then(|| "the board".into()),
            risk: full.then(|| ("Serious (2C)".into(), "/recurrences/RC-131/ZIP-1".into())),
            cost: "12 (9.1 to 16) on 3,000 items without it".into(),
            in_wait: full.then(|| "0.3 (0.2 to 0.4) in the 9 days it has waited".into()),
            reach: "0 of 3,000 in service".into(),
            reach_by: "/status/2026-014".into(),
            sureness: full.then_some(Sureness::TooEarly),
            proof: full.then(|| "0.25 times (0.087 to 0.59)".into()),
        };
        let rows = || vec![row(true, true), row(true, false), row(false, false)];
        let group = || Group { head: "Waiting for the board: a decision".into(), rows: rows() };
        let of = |sort: &str| {
            let filter = Filter { sort: sort.into(), ..Filter::default() };
            Self::new(&actor, &[], &Duties::default(), &filter, today)
        };
        vec![
            of(""),
            Self { groups: vec![group(), group()], ..of("risk") },
            Self {
                groups: vec![group()],
                answers: vec!["Until its final answer: a median of 9.0 days (7.0 to 14), 30 reports.".into()],
                ..of("")
            },
        ]
    }
}
