//! `/journal`: who did what when, with what it was before and after, newest first.

mod difference;
mod list;
#[cfg(test)]
mod tests;

use axum::Router;
use axum::extract::{Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse as _, Response};
use axum::routing::get;
use domain::permission::Act;
use store::Page as Part;

use crate::error::AppError;
use crate::security::SignedIn;
use crate::state::AppState;
use crate::view::Faults;

pub use list::{Filter, JournalPage};

/// Entries on one page.
const ON_A_PAGE: usize = 50;

/// This file's addresses.
pub fn routes() -> Router<AppState> {
    Router::new().route("/journal", get(show))
}

async fn show(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Query(filter): Query<Filter>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadJournal)?;
    let nouns = state.store().journal_nouns().await?;
    // One more than is shown tells whether there are older ones.
    let part = Part::first(ON_A_PAGE as u64 + 1);
    let (status, entries, faults) = match filter.read() {
        Ok(wanted) => (StatusCode::OK, state.store().journal(&wanted, part).await?, Faults::default()),
        Err(faults) => (StatusCode::UNPROCESSABLE_ENTITY, Vec::new(), faults),
    };
    let page = state.page(&JournalPage::new(&signed_in.0, &filter, &nouns, entries, &faults))?;
    Ok((status, page).into_response())
}
