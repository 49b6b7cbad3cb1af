//! `/recurrences`: what keeps failing, worst first; and a page for each with its pictures and decisions.

mod figures;
mod forms;
mod list;
mod lot_rows;
mod risk;
pub mod sample;
mod seam;
mod sentence;
mod sheet;
#[cfg(test)]
mod tests;
mod weekly;

use axum::Router;
use axum::extract::{Form, Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse as _, Redirect, Response};
use axum::routing::{get, post};
use domain::analysis::Recurrence;
use domain::permission::Act;
use store::{JournalFilter, RecurrenceEdit};

use self::forms::{Faults, Sent};
use self::sheet::Kept;
use crate::address;
use crate::error::AppError;
use crate::picture::Picture;
use crate::security::SignedIn;
use crate::state::AppState;

pub use figures::{harm_words, part_name};
pub use list::{Filter, RecurrencesPage};
pub use lot_rows::{ratio_words, sureness};
pub use risk::{Risk, risk_of};
pub(crate) use sentence::sentence;
pub use sheet::RecurrencePage;

/// Journal lines on a page.
const MOST_LINES: u64 = 100;

type Key = (String, String);

/// This noun's addresses.
pub fn routes() -> Router<AppState> {
    Router::new()
        .route("/recurrences", get(list_all))
        .route("/recurrences/{part_no}/{mode}", get(show))
        .route("/recurrences/{part_no}/{mode}/take-up", post(take_up))
        .route("/recurrences/{part_no}/{mode}/risk", post(judge))
        .route("/recurrences/{part_no}/{mode}/note", post(note))
}

async fn list_all(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Query(filter): Query<Filter>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadField)?;
    let picture = state.picture().await?;
    let records = state.store().list_recurrences().await?;
    let mut page = RecurrencesPage::new(&signed_in.0, &picture.field, &picture.analysis, &records, &filter);
    page.shell.date_books(picture.books_of);
    state.page(&page)
}

async fn show(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(key): Path<Key>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadField)?;
    let kept = kept(&state, &key).await?;
    let sent = Sent::of(kept.record.as_ref());
    page(&state, &signed_in, &key, &kept, (&sent, &Faults::default())).await
}

async fn take_up(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(key): Path<Key>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::DecideSeverity)?;
    decide(&state, &signed_in, &key, &RecurrenceEdit::TakeUp).await
}

async fn judge(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(key): Path<Key>,
    Form(sent): Form<Sent>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::DecideSeverity)?;
    match sent.judgement() {
        Ok(edit) => decide(&state, &signed_in, &key, &edit).await,
        Err(faults) => again(&state, &signed_in, &key, sent, true, &faults).await,
    }
}

async fn note(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(key): Path<Key>,
    Form(sent): Form<Sent>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::DecideSeverity)?;
    match sent.note() {
        Ok(edit) => decide(&state, &signed_in, &key, &edit).await,
        Err(faults) => again(&state, &signed_in, &key, sent, false, &faults).await,
    }
}

/// Keeps a decision about a recurrence that is there.
async fn decide(
    state: &AppState,
    signed_in: &SignedIn,
    key: &Key,
    edit: &RecurrenceEdit,
) -> Result<Response, AppError> {
    let picture = state.picture().await?;
    let r = find(&picture, key)?;
    let back = format!("{}#decisions", address::recurrence(&picture.field, r.part, r.mode));
    state.store().decide_recurrence(&signed_in.0, state.now(), (&key.0, &key.1), edit).await?;
    Ok(Redirect::to(&back).into_response())
}

async fn again(
    state: &AppState,
    signed_in: &SignedIn,
    key: &Key,
    sent: Sent,
    judging: bool,
    faults: &Faults,
) -> Result<Response, AppError> {
    let kept = kept(state, key).await?;
    let sent = sent.over(kept.record.as_ref(), judging);
    let page = page(state, signed_in, key, &kept, (&sent, faults)).await?;
    Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
}

async fn kept(state: &AppState, (part_no, mode): &Key) -> Result<Kept, AppError> {
    let record = state.store().find_recurrence(part_no, mode).await?;
    let filter = JournalFilter {
        noun: Some("recurrence".into()),
        key: Some(format!("{part_no} {mode}")),
        ..JournalFilter::default()
    };
    Ok(Kept { record, journal: state.store().journal(&filter, store::Page::first(MOST_LINES)).await? })
}

async fn page(
    state: &AppState,
    signed_in: &SignedIn,
    key: &Key,
    kept: &Kept,
    typed: (&Sent, &Faults),
) -> Result<Response, AppError> {
    let picture = state.picture().await?;
    let r = find(&picture, key)?;
    let seen = (&picture.field, &picture.analysis);
    let mut page = RecurrencePage::new(&signed_in.0, seen, r, kept, typed, state.today());
    page.shell.date_books(picture.books_of);
    state.page(&page)
}

fn find<'a>(picture: &'a Picture, (part_no, mode): &Key) -> Result<&'a Recurrence, AppError> {
    let field = &picture.field;
    let part = field.part_names.find(part_no);
    let mode = field.find_mode(mode);
    let found = part.zip(mode).and_then(|(part, mode)| {
        picture.analysis.recurrences.iter().find(|r| r.part == part && r.mode == mode)
    });
    found.ok_or_else(|| {
        AppError::NotFound(
            "There is no such recurrence: no two relevant reports of this mode on this part, and none with harm."
                .into(),
        )
    })
}
