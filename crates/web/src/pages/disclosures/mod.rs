//! `/disclosures`: what outsiders get of the reports on one failure: drafted, looked through by somebody else, kept as it left.

mod file;
mod form;
mod sheet;
#[cfg(test)]
mod tests;

use std::collections::HashMap;

use axum::Router;
use axum::extract::{Path, State};
use axum::http::header;
use axum::response::{IntoResponse as _, Response};
use axum::routing::{get, post};
use domain::disclosure::{Disclosed, Disclosure, disclose};
use domain::field::{ReportFacts, ReportId};
use domain::label::Labels;
use domain::permission::{Act, Actor, may};
use domain::report::Report;
use serde::Serialize;
use store::{DisclosureFile, Page as Rows};

use crate::address;
use crate::error::AppError;
use crate::format;
use crate::picture::Picture;
use crate::security::SignedIn;
use crate::state::AppState;
use crate::templates::Page;
use crate::view::{Empty, Place, Shell};

pub use sheet::DisclosureSheet;

/// This noun's addresses.
pub fn routes() -> Router<AppState> {
    Router::new()
        .route("/disclosures", get(list))
        .route("/disclosures/new", get(form::new).post(form::draft))
        .route("/disclosures/{number}", get(sheet::show))
        .route("/disclosures/{number}/review", post(sheet::review))
        .route("/disclosures/{number}/file.zip", get(download))
}

fn page_of(number: &str) -> String {
    format!("/disclosures/{}", address::segment(number))
}

/// The list.
#[derive(Serialize)]
pub struct DisclosuresPage {
    shell: Shell,
    drafts: bool,
    rows: Vec<Row>,
    empty: Empty,
}

#[derive(Serialize)]
struct Row {
    /// Nothing for whoever may not read drafts, while it is one.
    address: Option<String>,
    number: String,
    about: String,
    to: String,
    drafted: String,
    stands: &'static str,
    waits: bool,
}

/// Where one stands.
fn stands(file: &DisclosureFile) -> &'static str {
    match file.review.as_ref().map(|review| review.sha256.is_some()) {
        None => "waits for review",
        Some(true) => "released",
        Some(false) => "refused",
    }
}

impl DisclosuresPage {
    fn new(actor: &Actor, files: &[DisclosureFile]) -> Self {
        let reads_drafts = may(actor, &Act::ReadDrafts).is_ok();
        let row = |file: &DisclosureFile| Row {
            address: (reads_drafts || file.review.is_some()).then(|| page_of(&file.kept.number)),
            number: file.kept.number.clone(),
            about: format!("{}, {}", file.kept.what.part_no, file.kept.what.mode),
            to: file.kept.what.to.clone(),
            drafted: format!("{} by {}", format::date(file.kept.at.date_naive()), file.kept.by),
            stands: stands(file),
            waits: file.review.is_none(),
        };
        Self {
            shell: Shell::inside("Disclosures", actor, Place::Published),
            drafts: may(actor, &Act::Publish).is_ok(),
            rows: files.iter().map(row).collect(),
            empty: Empty::rest(
                "Nothing of the reports has been drafted for outsiders. A disclosure gives counts and, if wanted, words without \
                 names, and says what was removed and why.",
            ),
        }
    }
}

async fn list(State(state): State<AppState>, signed_in: SignedIn) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadChanges)?;
    state.page(&DisclosuresPage::new(&signed_in.0, &state.store().list_disclosures().await?))
}

/// Says of which tables there are none; nothing where there are all.
fn left_out(out: &Disclosed) -> String {
    if out.left_out.is_empty() {
        return String::new();
    }
    let tables = out.left_out.join(" or ");
    format!(
        " There is no table by {tables}: every count of it would follow from the total, or from it a count that is withheld."
    )
}

async fn find(state: &AppState, number: &str) -> Result<DisclosureFile, AppError> {
    let found = state.store().find_disclosure(number).await?;
    found.ok_or_else(|| AppError::NotFound("There is no disclosure of this number.".into()))
}

/// The numbers of the lots that labels lead to, by report.
fn lots<'p>(picture: &'p Picture, what: &Disclosure) -> HashMap<&'p str, String> {
    let field = &picture.field;
    let labels = Labels::new(field, picture.analysis.as_of.into());
    let of = (field.part_names.find(&what.part_no), field.find_mode(&what.mode));
    let reports = field.reports.iter().filter(|(_, report)| (report.part, report.mode) == of);
    let lot = |(id, report): (ReportId, &ReportFacts)| {
        let lot = labels.resolve(field, report).lot?;
        Some((field.report_ref(id), field.lots[lot].lot_no.to_string()))
    };
    reports.filter_map(lot).collect()
}

/// The file as it would leave today, or why nothing can. The names of all units and people that the program knows are struck from the words.
async fn made(state: &AppState, file: &DisclosureFile) -> Result<Result<Vec<u8>, String>, AppError> {
    let (store, what) = (state.store(), &file.kept.what);
    let count = store.count_reports_of_recurrence(&what.part_no, &what.mode).await?;
    let lines = store.reports_of_recurrence(&what.part_no, &what.mode, Rows::first(count)).await?;
    let picture = state.picture_in_step().await?;
    let lots = lots(&picture, what);
    let reports = lines.into_iter().map(|line| line.report);
    let reports = reports.filter(|report| report.relevant != Some(false));
    // Counted by the lots that labels lead to: a misread one is no lot of its own.
    let of_lot = |report: Report| Report { lot_text: lots.get(&*report.report_ref).cloned(), ..report };
    let reports: Vec<Report> = reports.map(of_lot).collect();
    let mut known: Vec<String> = Vec::new();
    for unit in store.list_units().await? {
        known.extend(unit.name);
        known.push(unit.unit);
    }
    for user in store.list_users().await? {
        known.extend(user.full_name.split_whitespace().map(str::to_owned));
        known.extend([user.full_name, user.name]);
    }
    match disclose(what, &reports, &known) {
        Ok(out) => file::pack(what, &file.kept.number, &out).map(Ok),
        Err(problem) => Ok(Err(format::sentence(&problem.why))),
    }
}

async fn download(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(number): Path<String>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadChanges)?;
    let file = state.store().disclosed_file(&number).await?;
    let file = file.ok_or_else(|| AppError::NotFound("Nothing has left under this number.".into()))?;
    let name: String = number.chars().filter(|sign| sign.is_ascii_alphanumeric() || *sign == '-').collect();
    let heads = [
        (header::CONTENT_TYPE, "application/zip".to_owned()),
        (header::CONTENT_DISPOSITION, format!("attachment; filename=\"{name}.zip\"")),
    ];
    Ok((heads, file).into_response())
}

impl Page for DisclosuresPage {
    const TEMPLATE: &'static str = "pages/disclosures/list";

    fn samples() -> Vec<Self> {
        let actor = crate::pages::recurrences::sample::engineer();
        let files = [sheet::sample(None), sheet::sample(Some(true)), sheet::sample(Some(false))];
        vec![Self::new(&actor, &files), Self::new(&Actor::Anybody, &[])]
    }
}
