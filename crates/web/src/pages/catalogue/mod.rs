//! `/catalogue`: kinds of part and the ways they fail, in the words of units and of engineers; engineers add modes.

mod add;
mod list;
#[cfg(test)]
mod tests;
mod typed;

use axum::Router;
use axum::extract::{Form, Query, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use axum::routing::get;
use domain::permission::Act;
use store::StoreError;

use crate::error::AppError;
use crate::security::SignedIn;
use crate::state::AppState;
use crate::view::Faults;

pub use add::AddModePage;
pub use list::{CataloguePage, Filter};
use typed::{Typed, refused};

/// This noun's addresses.
pub fn routes() -> Router<AppState> {
    Router::new().route("/catalogue", get(show)).route("/catalogue/add", get(form).post(add))
}

async fn show(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Query(filter): Query<Filter>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadField)?;
    let catalogue = state.store().catalogue().await?;
    state.page(&CataloguePage::new(&signed_in.0, &catalogue, &filter))
}

/// The form; what the address says is filled in.
async fn form(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Query(typed): Query<Typed>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ExtendCatalogue)?;
    let catalogue = state.store().catalogue().await?;
    state.page(&AddModePage::new(&signed_in.0, &catalogue, &typed, &Faults::default()))
}

async fn add(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Form(typed): Form<Typed>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ExtendCatalogue)?;
    let faults = match typed.mode() {
        Ok(mode) => match state.store().add_mode(&signed_in.0, state.now(), &mode).await {
            Ok(()) => {
                let there = format!("/catalogue?kind={}&added={}#{}", mode.kind, mode.code, mode.code);
                return Ok(Redirect::to(&there).into_response());
            }
            Err(StoreError::Refused(problem)) => refused(&problem),
            Err(StoreError::Taken { .. }) => {
                Faults::one("code", "Somebody added this code a moment ago. Choose another.")
            }
            Err(error) => return Err(error.into()),
        },
        Err(faults) => faults,
    };
    let catalogue = state.store().catalogue().await?;
    state.refused(&AddModePage::new(&signed_in.0, &catalogue, &typed, &faults))
}
