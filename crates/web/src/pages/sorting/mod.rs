//! `/sorting`: the engineer's queue of reports, one at a time.

mod guess;
mod queue;
mod sample;
mod sheet;
mod step;
#[cfg(test)]
mod tests;
mod twice;
mod typed;
mod unnamed;

use axum::Router;
use axum::extract::{Form, Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse as _, Redirect, Response};
use axum::routing::{get, post};
use domain::field::Found;
use domain::handling::Sorting;
use domain::permission::Act;
use domain::words::Problem;
use store::{Page as Rows, ReportFile, StoreError};

use crate::address;
use crate::error::AppError;
use crate::pages::report::offer::offer;
use crate::photo::{Wanted, photo_of};
use crate::security::SignedIn;
use crate::state::AppState;
use crate::tidings;
use crate::tongue::Tongue;

pub use queue::QueuePage;
use sheet::Shown;
pub use sheet::SortPage;
pub(crate) use sheet::facts;
use step::{Step, Words};
use typed::{Prefill, Typed};
pub use unnamed::UnnamedPage;

/// Reports shown at once.
const SHOWN: u64 = 50;
/// Earlier reports on the same item that a new one is held against.
const EARLIER: u64 = 300;

/// This noun's addresses.
pub fn routes() -> Router<AppState> {
    Router::new()
        .route("/sorting", get(list))
        .route("/sorting/unnamed", get(unnamed::show))
        .route("/sorting/{report_ref}", get(show).post(sort))
        .route("/sorting/{report_ref}/next", get(skip))
        .route("/sorting/{report_ref}/undo", post(undo))
        .route("/sorting/{report_ref}/{step}", post(step))
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
    state.page(&QueuePage::new(&signed_in.0, waiting, &lines, state.now()))
}

async fn show(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(report_ref): Path<String>,
    Query(prefill): Query<Prefill>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Sort)?;
    let file = find(&state, &report_ref).await?;
    let typed = Typed::of(&file).with(&prefill);
    let page = sheet(&state, &signed_in, file, typed, None, Words::default()).await?;
    state.page(&page.after(prefill.done))
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
    wrong: Option<Problem>,
    words: Words,
) -> Result<SortPage, AppError> {
    let picture = state.picture().await?;
    let learned = state.learned().await?;
    let doubles = state.store().possible_doubles(&file.report, 8).await?;
    let earlier = state.store().sorted_reports_on(&file.report.item_part_no, Rows::first(EARLIER)).await?;
    let offer = offer(state.store()).await?;
    Ok(SortPage::new(Shown {
        actor: &signed_in.0,
        picture: &picture,
        learned: &learned,
        offer: &offer,
        file: &file,
        doubles: &doubles,
        earlier: &earlier,
        typed,
        wrong,
        words,
    }))
}

/// The report that waits next after one in the queue; the first where that one isn't among the first of it.
async fn next_after(state: &AppState, report_ref: &str) -> Result<Option<String>, AppError> {
    let lines = state.store().waiting_reports(Rows::first(SHOWN)).await?;
    let mut queue = lines.into_iter().map(|line| line.report.report_ref).collect::<Vec<_>>();
    if let Some(at) = queue.iter().position(|other| other == report_ref) {
        queue.rotate_left(at + 1);
    }
    Ok(queue.into_iter().find(|other| other != report_ref))
}

async fn skip(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(report_ref): Path<String>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Sort)?;
    let next = next_after(&state, &report_ref).await?;
    Ok(Redirect::to(&next.map_or_else(|| "/sorting".to_owned(), |next| of(&next))).into_response())
}

/// The next report that waits, with word of the one just decided.
fn onward(next: Option<String>, done: &str) -> Response {
    let to = next.map_or_else(
        || "/sorting".to_owned(),
        |next| format!("{}?done={}", of(&next), address::segment(done)),
    );
    Redirect::to(&to).into_response()
}

async fn sort(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(report_ref): Path<String>,
    Form(typed): Form<Typed>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Sort)?;
    let next = next_after(&state, &report_ref).await?;
    let file = find(&state, &report_ref).await?;
    let problem = match decision(&state, &file, &typed).await? {
        Ok(sorting) => {
            match state.store().sort_report(&signed_in.0, state.now(), &report_ref, &sorting).await {
                Ok(()) => return Ok(onward(next, &report_ref)),
                Err(StoreError::Refused(problem)) => problem,
                Err(error) => return Err(error.into()),
            }
        }
        Err(problem) => problem,
    };
    let page = sheet(&state, &signed_in, file, typed, Some(problem), Words::default()).await?;
    Ok((StatusCode::UNPROCESSABLE_ENTITY, state.page(&page)?).into_response())
}

/// What was typed as a decision. A lot has to be in the books, or stand on the label as it was sent.
async fn decision(
    state: &AppState,
    file: &ReportFile,
    typed: &Typed,
) -> Result<Result<Sorting, Problem>, AppError> {
    let sorting = typed.sorting();
    let Some(lot_no) = sorting.as_ref().ok().and_then(|sorting| sorting.lot_no.as_deref()) else {
        return Ok(sorting);
    };
    let labels = [&file.report.lot_text, &file.handling.lot_text_as_sent];
    if labels.into_iter().flatten().any(|label| label.trim() == lot_no)
        || state.picture().await?.field.lot_keys.find(lot_no, None) != Found::Nothing
    {
        return Ok(sorting);
    }
    Ok(Err(Problem::new(
        "lot",
        "No lot has this number. Take a suggested one, or write the label as it was sent.",
    )))
}

async fn step(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path((report_ref, step)): Path<(String, String)>,
    Form(words): Form<Words>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Sort)?;
    let step = step.parse::<Step>().map_err(|()| AppError::NotFound("There is no such step.".to_owned()))?;
    let file = find(&state, &report_ref).await?;
    let text = match words.written(step) {
        Ok(text) => text,
        Err(problem) => {
            let typed = Typed::of(&file);
            let page = sheet(&state, &signed_in, file, typed, Some(problem), words).await?;
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, state.page(&page)?).into_response());
        }
    };
    let next = next_after(&state, &report_ref).await?;
    let (store, by, now) = (state.store(), &signed_in.0, state.now());
    match step {
        Step::Aside => store.set_aside(by, now, &report_ref, text).await?,
        Step::Ask => {
            store.ask(by, now, &report_ref, text).await?;
            // The question stands on the receipt whether or not its mail can be written now; the day's mail has it else.
            if let Err(error) = tidings::ask_at_once(&state, &report_ref).await {
                tracing::warn!(%error, "the mail with a question can't be written");
            }
        }
        Step::Answer => store.answer_report(by, now, &report_ref, text).await?,
    }
    Ok(if step == Step::Aside {
        onward(next, &report_ref)
    } else {
        Redirect::to(&of(&report_ref)).into_response()
    })
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
    Query(wanted): Query<Wanted>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Sort)?;
    photo_of(&state, Tongue::ENGLISH, &report_ref, id, &wanted).await
}
