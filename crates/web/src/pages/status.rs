//! `/status`: the program office's table of changes: what waits, for whom, since when, and what waiting costs.

mod answered;
mod csv;
pub(crate) mod line;
pub(crate) mod owed;
mod page;
mod reach;
mod sort;
mod table;
#[cfg(test)]
mod tests;
pub(crate) mod words;
mod xlsx;

use std::sync::Arc;

use axum::Router;
use axum::extract::{Path, Query, State};
use axum::http::header;
use axum::response::{IntoResponse as _, Response};
use axum::routing::get;
use domain::permission::Act;
use store::{ChangeRecord, RecurrenceRecord};

pub(crate) use self::answered::answered;
use self::line::{Line, lines};
use self::owed::Duties;
use self::sort::Filter;
use crate::error::AppError;
use crate::pages::recurrences::standings;
use crate::picture::Picture;
use crate::security::SignedIn;
use crate::state::AppState;

pub use page::StatusPage;
pub use reach::ReachPage;

/// This file's addresses.
pub fn routes() -> Router<AppState> {
    Router::new()
        .route("/status", get(show))
        .route("/status.csv", get(as_csv))
        .route("/status.xlsx", get(as_workbook))
        .route("/status/{no}", get(show_reach))
}

/// What the table is made from.
pub(crate) struct Office {
    picture: Arc<Picture>,
    records: Vec<ChangeRecord>,
    recurrences: Vec<RecurrenceRecord>,
    /// Who has what to do.
    pub(crate) duties: Duties,
}

impl Office {
    /// Everything of today.
    pub(crate) async fn find(state: &AppState) -> Result<Self, AppError> {
        let picture = state.picture().await?;
        let kept = state.store().list_recurrences().await?;
        Ok(Self {
            recurrences: standings(&picture.field, &picture.analysis, kept),
            picture,
            records: state.store().list_change_records().await?,
            duties: Duties::find(state).await?,
        })
    }

    /// Every change.
    pub(crate) fn lines(&self) -> Vec<Line<'_>> {
        lines((&self.picture.field, &*self.picture.analysis), &self.records, &self.recurrences)
    }
}

async fn show(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Query(filter): Query<Filter>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadChanges)?;
    let office = Office::find(&state).await?;
    let mut page = StatusPage::new(&signed_in.0, &office.lines(), &office.duties, &filter, state.today());
    page.answers = answered(&state).await?;
    page.shell.date_books(office.picture.books_of);
    state.page(&page)
}

async fn as_csv(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Query(filter): Query<Filter>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadChanges)?;
    let office = Office::find(&state).await?;
    let lines = office.lines();
    let file = csv::write(&filter.narrow(&lines), &office.duties, state.today())?;
    Ok(download(&state, "csv", "text/csv; charset=utf-8", file))
}

async fn as_workbook(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Query(filter): Query<Filter>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadChanges)?;
    let office = Office::find(&state).await?;
    let lines = office.lines();
    let seen = (&office.picture.field, &*office.picture.analysis);
    let file = xlsx::write(seen, &filter.narrow(&lines), &office.duties, state.today())?;
    Ok(download(&state, "xlsx", "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet", file))
}

fn download(state: &AppState, ending: &str, kind: &'static str, file: Vec<u8>) -> Response {
    let name = format!("attachment; filename=\"status-{}.{ending}\"", state.today());
    let heads = [(header::CONTENT_TYPE, kind.to_owned()), (header::CONTENT_DISPOSITION, name)];
    (heads, file).into_response()
}

async fn show_reach(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(no): Path<String>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadChanges)?;
    let record = state.store().find_change_record(&no).await?;
    let record = record.ok_or_else(|| AppError::NotFound("There is no change of this number.".into()))?;
    let picture = state.picture().await?;
    let mut page = ReachPage::new(&signed_in.0, &record, &picture)?;
    page.shell.date_books(picture.books_of);
    state.page(&page)
}
