//! `/status`: the program office's table of changes: what waits, for whom, since when, and what waiting costs.

mod csv;
pub(crate) mod line;
#[cfg(test)]
mod tests;
pub(crate) mod words;

use axum::Router;
use axum::extract::{Query, State};
use axum::http::header;
use axum::response::{IntoResponse as _, Response};
use axum::routing::get;
use chrono::NaiveDate;
use domain::change::{ChangeState, Wait};
use domain::permission::{Act, Actor};
use serde::{Deserialize, Serialize};

use self::line::{Line, lines};
use crate::address;
use crate::error::AppError;
use crate::format;
use crate::security::SignedIn;
use crate::state::AppState;
use crate::templates::Page;
use crate::view::{Empty, Place, Shell, Sureness};

/// What a reader narrows the table by.
#[derive(Clone, Debug, Default, Deserialize)]
pub struct Filter {
    /// A state's word; all where it is none.
    #[serde(default)]
    state: String,
}

/// The table.
#[derive(Serialize)]
pub struct StatusPage {
    shell: Shell,
    states: Vec<(&'static str, String, bool)>,
    shown: String,
    csv: String,
    groups: Vec<Group>,
    empty: Empty,
}

/// Changes that wait for the same.
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
    risk: Option<(String, String)>,
    cost: String,
    reach: String,
    sureness: Option<Sureness>,
    proof: Option<String>,
}

impl Filter {
    fn passes(&self, line: &Line<'_>) -> bool {
        self.state.parse::<ChangeState>().map_or(true, |wanted| line.state == wanted)
    }
}

impl StatusPage {
    /// The lines that pass, in their order.
    fn new(actor: &Actor, lines: &[Line<'_>], filter: &Filter, today: NaiveDate) -> Self {
        let passing: Vec<&Line<'_>> = lines.iter().filter(|line| filter.passes(line)).collect();
        let waits = Wait::ALL.into_iter().map(Some).chain([None]);
        let groups = waits.filter_map(|wait| {
            let rows: Vec<Row> =
                passing.iter().filter(|line| line.wait() == wait).map(|line| row(line, today)).collect();
            let head = wait.map_or_else(
                || "Waiting for nobody".to_owned(),
                |wait| format!("Waiting for {}: {}", wait.whom(), wait.what()),
            );
            (!rows.is_empty()).then_some(Group { head, rows })
        });
        Self {
            shell: Shell::inside("Status", actor, Place::Status),
            states: states(&filter.state),
            shown: format!(
                "Oldest wait first within what is waited for. {} of {}, as of {}.",
                format::count(passing.len() as u64),
                format::counted(lines.len() as u64, "change", "changes"),
                format::date(today)
            ),
            csv: format!("/status.csv?state={}", address::segment(&filter.state)),
            groups: groups.collect(),
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

fn states(chosen: &str) -> Vec<(&'static str, String, bool)> {
    let any = ("", "any".to_owned(), chosen.is_empty());
    let each = ChangeState::ALL.iter().map(|state| (state.word(), state.to_string(), state.word() == chosen));
    std::iter::once(any).chain(each).collect()
}

fn row(line: &Line<'_>, today: NaiveDate) -> Row {
    let change = &line.record.change;
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
        risk: line.risk.as_ref().map(|(risk, address)| (risk.words(), address.clone())),
        cost: words::cost(line),
        reach: words::reach(line),
        sureness: line.sureness(),
        proof: words::proof(line),
    }
}

/// This file's addresses.
pub fn routes() -> Router<AppState> {
    Router::new().route("/status", get(show)).route("/status.csv", get(download))
}

async fn show(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Query(filter): Query<Filter>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadChanges)?;
    let picture = state.picture().await?;
    let records = state.store().list_change_records().await?;
    let recurrences = state.store().list_recurrences().await?;
    let lines = lines((&picture.field, &*picture.analysis), &records, &recurrences);
    let mut page = StatusPage::new(&signed_in.0, &lines, &filter, state.today());
    page.shell.date_books(picture.books_of);
    state.page(&page)
}

async fn download(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Query(filter): Query<Filter>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadChanges)?;
    let picture = state.picture().await?;
    let records = state.store().list_change_records().await?;
    let recurrences = state.store().list_recurrences().await?;
    let mut lines = lines((&picture.field, &*picture.analysis), &records, &recurrences);
    lines.retain(|line| filter.passes(line));
    let file = csv::write(&lines, state.today())?;
    let name = format!("attachment; filename=\"status-{}.csv\"", state.today());
    let heads =
        [(header::CONTENT_TYPE, "text/csv; charset=utf-8".to_owned()), (header::CONTENT_DISPOSITION, name)];
    Ok((heads, file).into_response())
}

impl Page for StatusPage {
    const TEMPLATE: &'static str = "pages/status/status";

    fn samples() -> Vec<Self> {
        let actor = crate::pages::recurrences::sample::engineer();
        let today = NaiveDate::from_ymd_opt(2026, 3, 12).unwrap_or_default();
        let row = |full: bool| Row {
            address: "/changes/2026-014".into(),
            change_no: "2026-014".into(),
            title: "Coated slider".into(),
            part: "RC-131 A to B".into(),
            state: "submitted",
            since: "3 Mar 2026".into(),
            wait: if full { "9 days".into() } else { String::new() },
            risk: full.then(|| ("Serious (2C)".into(), "/recurrences/RC-131/ZIP-1".into())),
            cost: "12 (9.1 to 16) on 3,000 items without it".into(),
            reach: "0 of 3,000 in service".into(),
            sureness: full.then_some(Sureness::TooEarly),
            proof: full.then(|| "0.25 times (0.087 to 0.59)".into()),
        };
        let group =
            || Group { head: "Waiting for the board: a decision".into(), rows: vec![row(true), row(false)] };
        let empty = || Self::new(&actor, &[], &Filter::default(), today);
        vec![empty(), Self { groups: vec![group(), group()], ..empty() }]
    }
}
