//! `/sorting`: the engineer's queue of reports, one at a time.

mod queue;
mod sheet;
mod typed;

use axum::Router;
use axum::extract::{Form, Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse as _, Redirect, Response};
use axum::routing::{get, post};
use domain::permission::Act;
use serde::Deserialize;
use store::{Page as Rows, ReportFile, StoreError};

use crate::address;
use crate::error::AppError;
use crate::pages::report::offer::offer;
use crate::security::SignedIn;
use crate::state::AppState;

pub use queue::QueuePage;
use sheet::Shown;
pub use sheet::SortPage;
pub(crate) use sheet::facts;
use typed::Typed;

/// Reports shown at once.
const SHOWN: u64 = 50;

/// This noun's addresses.
pub fn routes() -> Router<AppState> {
    Router::new()
        .route("/sorting", get(list))
        .route("/sorting/{report_ref}", get(show).post(sort))
        .route("/sorting/{report_ref}/aside", post(set_aside))
        .route("/sorting/{report_ref}/ask", post(ask))
        .route("/sorting/{report_ref}/answer", post(answer))
        .route("/sorting/{report_ref}/undo", post(undo))
        .route("/sorting/{report_ref}/photo/{id}", get(photo))
}

/// Where one report is sorted.
fn of(report_ref: &str) -> String {
    format!("/sorting/{}", address::segment(report_ref))
}

async fn list(State(state): State<AppState>, signed_in: SignedIn) -> Result<Response, AppError> {
    signed_in.may(&Act::Sort)?;
    let waiting = state.store().count_waiting_reports().await?;
    let lines = state.store().waiting_reports(Rows::first(SHOWN)).await?;
    state.page(&QueuePage::new(&signed_in.0, waiting, &lines))
}

async fn show(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(report_ref): Path<String>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Sort)?;
    let file = find(&state, &report_ref).await?;
    let typed = Typed::of(&file);
    sheet(&state, &signed_in, file, typed, None).await
}

async fn find(state: &AppState, report_ref: &str) -> Result<ReportFile, AppError> {
    let file = state.store().find_report_file(report_ref).await?;
    file.ok_or_else(|| AppError::NotFound(format!("There is no report {report_ref}.")))
}

async fn sheet(
    state: &AppState,
    signed_in: &SignedIn,
    file: ReportFile,
    typed: Typed,
    wrong: Option<domain::words::Problem>,
) -> Result<Response, AppError> {
    let picture = state.picture().await?;
    let doubles = state.store().possible_doubles(&file.report, 8).await?;
    let offer = offer(state.store()).await?;
    let shown = Shown {
        actor: &signed_in.0,
        picture: &picture,
        offer: &offer,
        file: &file,
        doubles: &doubles,
        typed,
        wrong,
    };
    state.page(&SortPage::new(shown))
}

async fn sort(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(report_ref): Path<String>,
    Form(typed): Form<Typed>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Sort)?;
    let problem = match typed.sorting() {
        Ok(sorting) => {
            match state.store().sort_report(&signed_in.0, state.now(), &report_ref, &sorting).await {
                Ok(()) => return Ok(Redirect::to("/sorting").into_response()),
                Err(StoreError::Refused(problem)) => problem,
                Err(error) => return Err(error.into()),
            }
        }
        Err(problem) => problem,
    };
    let file = find(&state, &report_ref).await?;
    let page = sheet(&state, &signed_in, file, typed, Some(problem)).await?;
    Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
}

#[derive(Deserialize)]
struct Words {
    #[serde(default)]
    words: String,
}

impl Words {
    /// What was written, if it is neither nothing nor a book.
    fn written(&self) -> Result<&str, AppError> {
        let text = self.words.trim();
        if text.is_empty() || text.chars().count() > 4000 {
            return Err(AppError::Unusable("Write one to 4,000 letters. Nothing was changed.".to_owned()));
        }
        Ok(text)
    }
}

async fn set_aside(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(report_ref): Path<String>,
    Form(form): Form<Words>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Sort)?;
    state.store().set_aside(&signed_in.0, state.now(), &report_ref, form.written()?).await?;
    Ok(Redirect::to("/sorting").into_response())
}

async fn ask(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(report_ref): Path<String>,
    Form(form): Form<Words>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Sort)?;
    state.store().ask(&signed_in.0, state.now(), &report_ref, form.written()?).await?;
    Ok(Redirect::to(&of(&report_ref)).into_response())
}

async fn answer(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(report_ref): Path<String>,
    Form(form): Form<Words>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Sort)?;
    state.store().answer_report(&signed_in.0, state.now(), &report_ref, form.written()?).await?;
    Ok(Redirect::to(&of(&report_ref)).into_response())
}

async fn undo(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(report_ref): Path<String>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Sort)?;
    if state.store().undo_sorting(&signed_in.0, state.now(), &report_ref).await? {
        Ok(Redirect::to(&of(&report_ref)).into_response())
    } else {
        Err(AppError::Unusable("There is nothing to take back on this report.".to_owned()))
    }
}

async fn photo(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path((report_ref, id)): Path<(String, i64)>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Sort)?;
    let photo = state.store().find_photo(id).await?.filter(|photo| photo.report_ref == report_ref);
    let photo = photo.ok_or_else(|| AppError::NotFound("There is no such photograph.".to_owned()))?;
    Ok(([(axum::http::header::CONTENT_TYPE, "image/jpeg")], photo.bytes).into_response())
}
