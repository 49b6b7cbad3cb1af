//! `/recurrences`: what keeps failing, worst first; and a page for each with its pictures and decisions.

mod beside;
mod figures;
mod forms;
mod list;
mod lot_rows;
mod meanwhile;
mod outlook;
mod risk;
pub mod sample;
mod seam;
mod sentence;
mod settle;
mod sheet;
mod sits;
#[cfg(test)]
mod tests;
mod weekly;
mod words;

use axum::Router;
use axum::extract::{Form, Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse as _, Redirect, Response};
use axum::routing::{get, post};
use domain::analysis::Recurrence;
use domain::permission::Act;
use store::{JournalEntry, JournalFilter, RecurrenceAct, RecurrenceEdit, StoreError};

use self::forms::Sent;
use self::sheet::Kept;
use self::words::{AT_ONCE, Heard, NEWEST, Which};
use crate::address;
use crate::error::AppError;
use crate::pages::interim::Interim;
use crate::picture::Picture;
use crate::security::SignedIn;
use crate::state::AppState;
use crate::view::Faults;

pub use figures::{harm_words, part_name};
pub use list::{Filter, RecurrencesPage};
pub use lot_rows::{ratio_words, sureness};
pub use risk::{Risk, risk_of};
pub(crate) use seam::{before_change, of_report};
pub(crate) use sentence::{lots_that_stand_out, sentence};
pub use settle::SettlePage;
pub(crate) use settle::{come_back, standings};
pub use sheet::RecurrencePage;
pub(crate) use sits::{level_ratio, level_sureness, stands_out};
pub(crate) use weekly::{changes_on, named_changes};
pub use words::WordsPage;

/// Journal lines on a page.
const MOST_LINES: u64 = 100;
/// Signals on a page, as they were raised.
const MOST_RAISED: u64 = 6;

type Key = (String, String);

/// This noun's addresses.
pub fn routes() -> Router<AppState> {
    Router::new()
        .route("/recurrences", get(list_all))
        .route("/recurrences/{part_no}/{mode}", get(show))
        .route("/recurrences/{part_no}/{mode}/reports", get(list_reports))
        .route("/recurrences/{part_no}/{mode}/take-up", post(take_up))
        .route("/recurrences/{part_no}/{mode}/risk", post(judge))
        .route("/recurrences/{part_no}/{mode}/note", post(note))
        .route("/recurrences/{part_no}/{mode}/settle", get(settle::show).post(settle::settle))
}

async fn list_all(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Query(filter): Query<Filter>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadField)?;
    let picture = state.picture().await?;
    let records = state.store().list_recurrences().await?;
    let records = standings(&picture.field, &picture.analysis, records);
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
    let picture = state.picture().await?;
    let kept = kept(&state, &signed_in, &picture, &key).await?;
    let sent = Sent::of(kept.record.as_ref());
    page(&state, &signed_in, &picture, &key, &kept, (&sent, &Faults::default()))
}

async fn take_up(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(key): Path<Key>,
    Form(sent): Form<Sent>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::DecideSeverity)?;
    decide(&state, &signed_in, &key, sent, &RecurrenceEdit::TakeUp).await
}

async fn judge(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(key): Path<Key>,
    Form(sent): Form<Sent>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::DecideSeverity)?;
    match sent.judgement() {
        Ok(edit) => decide(&state, &signed_in, &key, sent, &edit).await,
        Err(faults) => again(&state, &signed_in, &key, sent, RecurrenceAct::Judge, &faults).await,
    }
}

async fn note(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(key): Path<Key>,
    Form(sent): Form<Sent>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::DecideSeverity)?;
    let note = match sent.note() {
        Ok(RecurrenceEdit::Note { cause, next_step }) if cause.is_empty() && next_step.is_empty() => {
            let kept = state.store().find_recurrence(&key.0, &key.1).await?;
            let has_any = kept.is_some_and(|kept| kept.cause.is_some() || kept.next_step.is_some());
            let nothing = "Write the cause, or what comes next. Nothing was kept.";
            if has_any {
                Ok(RecurrenceEdit::Note { cause, next_step })
            } else {
                Err(Faults::one("cause", nothing))
            }
        }
        note => note,
    };
    match note {
        Ok(edit) => decide(&state, &signed_in, &key, sent, &edit).await,
        Err(faults) => again(&state, &signed_in, &key, sent, RecurrenceAct::Note, &faults).await,
    }
}

/// Keeps a decision about a recurrence that is there, on what its page showed.
async fn decide(
    state: &AppState,
    signed_in: &SignedIn,
    key: &Key,
    sent: Sent,
    edit: &RecurrenceEdit,
) -> Result<Response, AppError> {
    let picture = state.picture().await?;
    let r = find(&picture, key)?;
    let back = format!("{}#decisions", address::recurrence(&picture.field, r.part, r.mode));
    let on = ((key.0.as_str(), key.1.as_str()), Some(sent.shown));
    match state.store().decide_recurrence(&signed_in.0, state.now(), on, edit).await {
        Ok(()) => Ok(Redirect::to(&back).into_response()),
        Err(StoreError::Overtaken { .. }) => {
            again(state, signed_in, key, sent, edit.act(), &Faults::default()).await
        }
        Err(error) => Err(error.into()),
    }
}

/// The page again with what was typed: beside what is wrong with it, and under word of what was decided since it was
/// shown. That comes even with what is wrong, for the number of what was seen moves on with it.
async fn again(
    state: &AppState,
    signed_in: &SignedIn,
    key: &Key,
    sent: Sent,
    act: RecurrenceAct,
    faults: &Faults,
) -> Result<Response, AppError> {
    let picture = state.picture().await?;
    let mut kept = kept(state, signed_in, &picture, key).await?;
    let of = (&picture.field, find(&picture, key)?);
    kept.overtaken = meanwhile::told(of, (&kept.journal, kept.record.as_ref()), (act, sent.shown));
    let status =
        if kept.overtaken.is_some() { StatusCode::CONFLICT } else { StatusCode::UNPROCESSABLE_ENTITY };
    let sent = sent.over(kept.record.as_ref(), act);
    let page = page(state, signed_in, &picture, key, &kept, (&sent, faults))?;
    Ok((status, page).into_response())
}

/// The journal's lines about a recurrence, latest first. Read them before the record: what comes in between is then on
/// the page without its number, and at worst a decision is refused; the other way round one would be overwritten.
async fn journal(state: &AppState, (part_no, mode): &Key) -> Result<Vec<JournalEntry>, AppError> {
    let filter = JournalFilter {
        noun: Some("recurrence".into()),
        key: Some(format!("{part_no} {mode}")),
        ..JournalFilter::default()
    };
    Ok(state.store().journal(&filter, store::Page::first(MOST_LINES)).await?)
}

/// What the store keeps about a recurrence; its readings don't wait for each other.
async fn kept(
    state: &AppState,
    signed_in: &SignedIn,
    picture: &Picture,
    key: &Key,
) -> Result<Kept, AppError> {
    let (part_no, mode) = key;
    let heard = async {
        match may_hear(signed_in) {
            Ok(()) => heard(state, key, store::Page::first(NEWEST)).await.map(Some),
            Err(_) => Ok(None),
        }
    };
    let ((journal, record, signals), heard, interim) = tokio::try_join!(
        async {
            let journal = journal(state, key).await?;
            let record = state.store().find_recurrence(part_no, mode).await?;
            // One after the other: readers of one page wait for each other's connections else.
            let signals = state.store().signals_of((part_no, mode), MOST_RAISED).await?;
            Ok((journal, record, signals))
        },
        heard,
        Interim::on(state, state.today()),
    )?;
    let record = standings(&picture.field, &picture.analysis, record.into_iter().collect()).pop();
    let interim = interim.on_recurrence(part_no, mode);
    Ok(Kept { record, journal, heard, interim, signals, overtaken: None })
}

/// Whoever may read what any unit wrote.
fn may_hear(signed_in: &SignedIn) -> Result<(), AppError> {
    signed_in.may(&Act::ReadField)?;
    signed_in.may(&Act::ReadUnitReports { unit: "" })
}

async fn heard(state: &AppState, (part_no, mode): &Key, page: store::Page) -> Result<Heard, AppError> {
    let lines = state.store().reports_of_recurrence(part_no, mode, page).await?;
    let refs: Vec<&str> = lines.iter().map(|line| line.report.report_ref.as_str()).collect();
    let photos = state.store().photos_of(&refs).await?;
    Ok(Heard { lines, photos })
}

async fn list_reports(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(key): Path<Key>,
    Query(which): Query<Which>,
) -> Result<Response, AppError> {
    may_hear(&signed_in)?;
    let picture = state.picture().await?;
    let r = find(&picture, &key)?;
    let all = state.store().count_reports_of_recurrence(&key.0, &key.1).await?;
    let which = Which { page: which.page.min(all.saturating_sub(1) / AT_ONCE) };
    let heard = heard(&state, &key, store::Page { number: which.page, size: AT_ONCE }).await?;
    state.page(&WordsPage::new(&signed_in.0, (&picture.field, r), (&heard, all), &which))
}

fn page(
    state: &AppState,
    signed_in: &SignedIn,
    picture: &Picture,
    key: &Key,
    kept: &Kept,
    typed: (&Sent, &Faults),
) -> Result<Response, AppError> {
    let r = find(picture, key)?;
    let seen = (&picture.field, &*picture.analysis);
    let mut page = RecurrencePage::new(&signed_in.0, seen, r, kept, typed, state.today());
    page.shell.date_books(picture.books_of);
    state.page(&page)
}

/// The recurrence of a part and a mode.
///
/// # Errors
/// A sentence saying that there is none.
pub(crate) fn find<'a>(picture: &'a Picture, (part_no, mode): &Key) -> Result<&'a Recurrence, AppError> {
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
