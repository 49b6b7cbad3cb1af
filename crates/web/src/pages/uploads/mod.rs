//! `/reports/upload`: a list of failures as a file: its columns matched, its rows looked at, sent as one, taken back as one.

mod layout;
mod list;
mod matching;
mod reading;
mod sender;
mod sheet;
mod take;
#[cfg(test)]
mod tests;

use axum::Router;
use axum::extract::{DefaultBodyLimit, Form, Multipart, Path, Query, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use axum::routing::{get, post};
use store::StoreError;

use self::matching::{Looked, MatchPage};
use self::sender::Sender;
use crate::error::AppError;
use crate::format;
use crate::pages::records::Sent;
use crate::secrets::Token;
use crate::security::SignedIn;
use crate::state::AppState;
use crate::upload::{LARGEST_FILE, WaitingList};

pub use list::UploadsPage;
pub use matching::MatchPage as UploadMatchPage;
pub use sheet::UploadSheet;

const GONE: &str = "This list isn't waiting any more: it was sent or forgotten, or it waited for more than a day. \
                    What was sent stands under Lists.";

/// This noun's addresses.
pub fn routes() -> Router<AppState> {
    Router::new()
        .route("/reports/upload", get(list::show).post(arrive))
        // What is a little too large is still read, so that the sender hears why.
        .layer(DefaultBodyLimit::max(LARGEST_FILE * 2))
        .route("/reports/upload/waiting/{key}", get(look).post(send))
        .route("/reports/upload/waiting/{key}/forget", post(forget))
        .route("/reports/upload/{id}", get(sheet::show))
        .route("/reports/upload/{id}/receipts.csv", get(sheet::receipts))
        .route("/reports/upload/{id}/withdraw", post(sheet::withdraw))
}

async fn arrive(
    State(state): State<AppState>,
    signed_in: SignedIn,
    form: Multipart,
) -> Result<Response, AppError> {
    let sender = Sender::of(&signed_in)?;
    match take::receive(&state, &sender, form).await? {
        Ok(key) => Ok(Redirect::to(&format!("/reports/upload/waiting/{}", key.as_str())).into_response()),
        Err(why) => state.refused(&list::page(&state, &signed_in, &sender, Some(why)).await?),
    }
}

fn waiting(state: &AppState, sender: &Sender, key: &str) -> Result<(Token, WaitingList), AppError> {
    let gone = || AppError::NotFound(GONE.to_owned());
    let key = Token::parse(key).ok_or_else(gone)?;
    let list = state.lists().find(&key, &sender.key).map_err(AppError::inside)?;
    Ok((key, list.ok_or_else(gone)?))
}

async fn look(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(key): Path<String>,
    Query(sent): Query<Sent>,
) -> Result<Response, AppError> {
    let sender = Sender::of(&signed_in)?;
    let (key, list) = waiting(&state, &sender, &key)?;
    let looked = Looked::at(&state, &sender, &list, &sent).await?;
    let same = state.store().find_same_upload(&list.sha256).await?;
    state.page(&MatchPage::new(&signed_in.0, &sender, &key, &looked, same.as_ref(), None))
}

async fn send(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(key): Path<String>,
    Form(sent): Form<Sent>,
) -> Result<Response, AppError> {
    let sender = Sender::of(&signed_in)?;
    let (key, list) = waiting(&state, &sender, &key)?;
    let looked = Looked::at(&state, &sender, &list, &sent).await?;
    let refused = if sent.get("seen") == looked.layout.seen() {
        match take::send(&state, (&signed_in, &sender), (&key, &list), looked).await? {
            Ok(id) => return Ok(Redirect::to(&format!("/reports/upload/{id}")).into_response()),
            Err(why) => why,
        }
    } else {
        "You changed what the columns mean. Look at how the rows read now, then send.".to_owned()
    };
    let looked = Looked::at(&state, &sender, &list, &sent).await?;
    let same = state.store().find_same_upload(&list.sha256).await?;
    state.refused(&MatchPage::new(&signed_in.0, &sender, &key, &looked, same.as_ref(), Some(refused)))
}

async fn forget(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(key): Path<String>,
) -> Result<Response, AppError> {
    let sender = Sender::of(&signed_in)?;
    let (key, _) = waiting(&state, &sender, &key)?;
    state.lists().forget(&key).map_err(AppError::inside)?;
    Ok(Redirect::to("/reports/upload").into_response())
}

/// What the store refused by a rule, as a sentence.
fn told<T>(result: Result<T, StoreError>) -> Result<Result<T, String>, AppError> {
    match result {
        Ok(value) => Ok(Ok(value)),
        Err(StoreError::Refused(problem)) => Ok(Err(format::sentence(&problem.why))),
        Err(error) => Err(error.into()),
    }
}
