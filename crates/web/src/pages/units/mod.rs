//! `/units`: units and the secret links by which they report; links are made here, printed, and revoked.

mod codes;
mod door;
mod list;
pub(crate) mod orders;
mod own;
mod poster;
mod sheet;
#[cfg(test)]
mod tests;

use axum::Router;
use axum::extract::{Form, Path, Query, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use axum::routing::{get, post};
use domain::permission::Act;
use domain::unit::Unit;
use serde::Deserialize;
use store::{NewUnitLink, Page as Rows, UnitLink};

use crate::address;
use crate::error::AppError;
use crate::security::SignedIn;
use crate::state::AppState;
use crate::tongue::Tongue;

pub use codes::CodesPage;
pub use list::UnitsPage;
pub use own::OwnPage;
pub use poster::PosterPage;
pub use sheet::{RevokePage, UnitSheet};

/// Units shown at once; a search finds the others.
const SHOWN: u64 = 200;
/// Longest words for where a link hangs.
const LONGEST_LABEL: usize = 80;

/// This noun's addresses.
pub fn routes() -> Router<AppState> {
    Router::new()
        .route("/units", get(list))
        .route("/unit-codes", get(codes::show).post(codes::make))
        .route("/units/{unit}", get(show))
        .route("/units/{unit}/links", post(make))
        .route("/units/{unit}/links/{id}/revoke", get(ask).post(revoke))
        .merge(door::routes())
}

/// A unit's sheet.
fn of(unit: &str) -> String {
    format!("/units/{}", address::segment(unit))
}

#[derive(Deserialize)]
struct Search {
    #[serde(default)]
    search: String,
}

async fn list(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Query(query): Query<Search>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ManageUnitLinks)?;
    let search = query.search.trim();
    let units = state.store().search_units(search, Rows::first(SHOWN)).await?;
    let links = state.store().list_unit_links(None).await?;
    state.page(&UnitsPage::new(&signed_in.0, search, &units, &links))
}

async fn find(state: &AppState, code: &str) -> Result<Unit, AppError> {
    let unit = state.store().find_unit(code).await?;
    unit.ok_or_else(|| AppError::NotFound(format!("There is no unit {code}.")))
}

async fn show(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(code): Path<String>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ManageUnitLinks)?;
    state.page(&sheet(&state, &signed_in, &code, "", None).await?)
}

async fn sheet(
    state: &AppState,
    signed_in: &SignedIn,
    code: &str,
    label: &str,
    wrong: Option<&str>,
) -> Result<UnitSheet, AppError> {
    let unit = find(state, code).await?;
    let links = state.store().list_unit_links(Some(code)).await?;
    let last = state.store().last_reports_of_unit(code).await?;
    let lines = if sheet::hears(&signed_in.0, &unit) {
        state.store().reports_of_unit(code, Rows::first(sheet::LATEST)).await?
    } else {
        Vec::new()
    };
    Ok(UnitSheet::new(&signed_in.0, &unit, &links, &last).with_reports(&lines).with_form(label, wrong))
}

#[derive(Deserialize)]
struct NewLink {
    #[serde(default)]
    language: String,
    #[serde(default)]
    label: String,
}

async fn make(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(code): Path<String>,
    Form(form): Form<NewLink>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ManageUnitLinks)?;
    let label = form.label.trim();
    if label.is_empty() || label.chars().count() > LONGEST_LABEL || label.chars().any(char::is_control) {
        let wrong = Some("Write in up to 80 letters where it will hang.");
        let page = sheet(&state, &signed_in, &code, label, wrong).await?;
        return state.refused(&page.in_language(&form.language));
    }
    let unit = find(&state, &code).await?;
    let token = state.secrets().token();
    let link = NewUnitLink { unit: code, token_hash: token.digest(), label: label.to_owned() };
    state.store().add_unit_link(&signed_in.0, state.now(), &link).await?;
    // Answered at once, not after a redirect: nobody can be shown the token a second time.
    let address = format!("{}/report/{}", state.base_url(), token.as_str());
    let tongue = form.language.parse().map_or(Tongue::ENGLISH, Tongue::of);
    state.page(&PosterPage::new(&signed_in.0, tongue, &unit, label, address, state.today())?)
}

/// A link of this very unit that still opens.
async fn live(state: &AppState, code: &str, id: i64) -> Result<UnitLink, AppError> {
    let links = state.store().list_unit_links(Some(code)).await?;
    let link = links.into_iter().find(|link| link.id == id && link.revoked_at.is_none());
    link.ok_or_else(|| AppError::NotFound("There is no such link that still opens.".to_owned()))
}

async fn ask(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path((code, id)): Path<(String, i64)>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ManageUnitLinks)?;
    let link = live(&state, &code, id).await?;
    state.page(&RevokePage::new(&signed_in.0, &link))
}

async fn revoke(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path((code, id)): Path<(String, i64)>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ManageUnitLinks)?;
    live(&state, &code, id).await?;
    state.store().revoke_unit_link(&signed_in.0, state.now(), id).await?;
    Ok(Redirect::to(&of(&code)).into_response())
}
