//! `/packs`: books in by browser, checked and shown before anything is taken; what was brought in before.

#[cfg(test)]
mod bad_input;
mod export;
mod list;
mod sample;
mod sheet;
mod take;
#[cfg(test)]
mod tests;
mod upload;

use axum::Router;
use axum::extract::{DefaultBodyLimit, Multipart, Path, Query, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse as _, Redirect, Response};
use axum::routing::{get, post};
use domain::permission::{Act, Actor};
use serde::Deserialize;

use crate::error::AppError;
use crate::format;
use crate::pack::{CheckOptions, ImportError, Inspected, Record, Stage, inspect};
use crate::security::SignedIn;
use crate::state::AppState;

pub use list::PacksPage;
pub use sheet::PackPage;

/// Refusals that are listed; more are counted.
const MOST_REFUSALS: usize = 50_000;

/// This noun's addresses.
pub fn routes() -> Router<AppState> {
    Router::new()
        // What is too large is read to its end and thrown away, so that the browser hears why.
        .route("/packs", get(list_all).post(send).layer(DefaultBodyLimit::disable()))
        .route("/packs/export.zip", get(export::send))
        .route("/packs/{id}", get(show))
        .route("/packs/{id}/refusals.csv", get(refusals))
        .route("/packs/{id}/left-out.csv", get(left_out))
        .route("/packs/{id}/progress", get(take::progress))
        .route("/packs/{id}/check", post(check_again))
        .route("/packs/{id}/take", post(take::take))
        .route("/packs/{id}/forget", post(forget))
}

async fn list_all(State(state): State<AppState>, signed_in: SignedIn) -> Result<Response, AppError> {
    signed_in.may(&Act::Export)?;
    page(&state, &signed_in, None).await
}

async fn page(state: &AppState, signed_in: &SignedIn, problem: Option<&str>) -> Result<Response, AppError> {
    state.waiting().sweep(state.now(), false).map_err(AppError::inside)?;
    let mine = match owner(signed_in) {
        Ok(owner) => state.waiting().list(owner).map_err(AppError::inside)?,
        Err(_) => Vec::new(),
    };
    let running: Vec<bool> = mine.iter().map(|(id, _)| state.waiting().progress(id).is_some()).collect();
    let books = list::Books {
        under_way: state.store().find_import_under_way().await?,
        past: state.store().list_imports().await?,
        stopped: state.store().list_stopped_imports().await?,
        most_bytes: state.config().limits.pack_bytes as u64,
    };
    state.page(&PacksPage::new(&signed_in.0, &books, &mine, &running, problem))
}

async fn send(
    State(state): State<AppState>,
    signed_in: SignedIn,
    multipart: Multipart,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Import)?;
    let owner = owner(&signed_in)?;
    match upload::receive(&state, owner, multipart).await {
        Ok(id) => Ok(Redirect::to(&format!("/packs/{id}")).into_response()),
        Err(upload::Fault::Told(status, why)) => {
            Ok((status, page(&state, &signed_in, Some(&why)).await?).into_response())
        }
        Err(upload::Fault::Inside(error)) => Err(error),
    }
}

/// Checks a waiting pack against the books as they are now.
async fn inspected(state: &AppState, id: &str) -> Result<Inspected, ImportError> {
    let source = state.waiting().open(id).map_err(ImportError::Unopened)?;
    let options = CheckOptions { today: state.today(), keep: MOST_REFUSALS };
    inspect(state.store(), source, options).await
}

/// The number of whoever is signed in.
fn owner(signed_in: &SignedIn) -> Result<i64, AppError> {
    match signed_in.0 {
        Actor::Person { id, .. } => Ok(id),
        _ => Err(AppError::Refused(domain::permission::Refusal::SignInFirst)),
    }
}

/// The reader's own waiting pack; nobody sees another's.
fn own(state: &AppState, signed_in: &SignedIn, id: &str) -> Result<Record, AppError> {
    let owner = owner(signed_in)?;
    let found = state.waiting().find(id).map_err(AppError::inside)?;
    found.filter(|record| record.owner == owner).ok_or_else(|| {
        AppError::NotFound(
            "This pack isn't waiting any more: it was forgotten, or it waited for more than a day. What was taken \
             in of it is listed under Packs."
                .to_owned(),
        )
    })
}

#[derive(Deserialize)]
struct Paged {
    #[serde(default)]
    page: u32,
}

async fn show(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(id): Path<String>,
    Query(paged): Query<Paged>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Import)?;
    let record = own(&state, &signed_in, &id)?;
    sheet::show(&state, &signed_in, &id, record, (paged.page, None)).await
}

async fn refusals(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(id): Path<String>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Import)?;
    own(&state, &signed_in, &id)?;
    let list = tokio::fs::read(state.waiting().refusals_file(&id)).await;
    csv("refusals.csv", list.and_then(|bytes| harmless(&bytes)))
}

async fn left_out(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(id): Path<String>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Import)?;
    own(&state, &signed_in, &id)?;
    csv("left-out.csv", tokio::fs::read(state.waiting().left_out_file(&id)).await)
}

/// A file whose cells no spreadsheet runs as formulas. It is only read; rows that go in again are handed out as they stood.
fn harmless(bytes: &[u8]) -> std::io::Result<Vec<u8>> {
    let mut rows = csv::ReaderBuilder::new().has_headers(false).from_reader(bytes);
    let mut writer = csv::Writer::from_writer(Vec::new());
    for row in rows.records() {
        writer.write_record(row?.iter().map(format::harmless))?;
    }
    writer.into_inner().map_err(csv::IntoInnerError::into_error)
}

fn csv(name: &str, bytes: std::io::Result<Vec<u8>>) -> Result<Response, AppError> {
    match bytes {
        Ok(bytes) => Ok((
            [
                (header::CONTENT_TYPE, "text/csv; charset=utf-8".to_owned()),
                (header::CONTENT_DISPOSITION, format!("attachment; filename=\"{name}\"")),
            ],
            bytes,
        )
            .into_response()),
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => {
            Err(AppError::NotFound("No row of this pack was left out.".to_owned()))
        }
        Err(error) => Err(AppError::inside(error)),
    }
}

async fn check_again(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(id): Path<String>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Import)?;
    let mut record = own(&state, &signed_in, &id)?;
    let Some(_running) = state.waiting().start(&id) else {
        return Ok(Redirect::to(&format!("/packs/{id}")).into_response());
    };
    match inspected(&state, &id).await {
        Ok(found) => {
            state.waiting().list_refusals(&id, &found.preview.refusals).map_err(AppError::inside)?;
            record.check(&found);
        }
        Err(error) => record.stage = Stage::Failed(take::told(&state, &error).await),
    }
    state.waiting().note(&id, &record).map_err(AppError::inside)?;
    Ok(Redirect::to(&format!("/packs/{id}")).into_response())
}

async fn forget(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(id): Path<String>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Import)?;
    let record = own(&state, &signed_in, &id)?;
    let Some(_running) = state.waiting().start(&id) else {
        let note = "This pack is being taken in at this moment, so it was not forgotten.";
        let page = sheet::show(&state, &signed_in, &id, record, (0, Some(note.to_owned()))).await?;
        return Ok((StatusCode::CONFLICT, page).into_response());
    };
    state.waiting().forget(&id).map_err(AppError::inside)?;
    Ok(Redirect::to("/packs").into_response())
}
