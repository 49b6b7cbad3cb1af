//! `/docket`: meetings of the board, and for each the changes it looks at, in order, with the advice of members.

mod list;
mod sheet;
#[cfg(test)]
mod tests;

use std::collections::BTreeMap;

use axum::Router;
use axum::extract::{Form, Path, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use axum::routing::{get, post};
use domain::change::ChangeState;
use domain::change_record::Disposition;
use domain::docket::Meeting;
use domain::permission::Act;
use domain::words::Problem;
use serde::Deserialize;
use store::{Docket, StoreError};

use super::load::Loaded;
use crate::error::AppError;
use crate::format;
use crate::security::SignedIn;
use crate::state::AppState;
use crate::view::Faults;

pub use list::DocketsPage;
pub use sheet::DocketPage;

/// These pages' addresses.
pub(super) fn routes() -> Router<AppState> {
    Router::new()
        .route("/docket", get(show_all).post(call))
        .route("/docket/{id}", get(show))
        .route("/docket/{id}/put-on", post(put_on))
        .route("/docket/{id}/take-off", post(take_off))
        .route("/docket/{id}/up", post(up))
        .route("/docket/{id}/advise", post(advise))
}

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
struct Called {
    held_on: String,
    title: String,
}

#[derive(Deserialize)]
struct Which {
    change: String,
}

/// Advice as it was typed.
#[derive(Clone, Debug, Default)]
struct Advised {
    change: String,
    recommends: String,
    words: String,
}

fn address(id: i64) -> String {
    format!("/docket/{id}")
}

async fn show_all(State(state): State<AppState>, signed_in: SignedIn) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadChanges)?;
    let meetings = state.store().list_meetings().await?;
    state.page(&DocketsPage::new(&signed_in.0, &meetings, &Called::default(), &Faults::default()))
}

async fn call(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Form(typed): Form<Called>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::KeepDocket)?;
    let faults = match typed.read() {
        Ok(meeting) => {
            let id = state.store().add_meeting(&signed_in.0, state.now(), &meeting).await?;
            return Ok(Redirect::to(&address(id)).into_response());
        }
        Err(faults) => faults,
    };
    let meetings = state.store().list_meetings().await?;
    state.refused(&DocketsPage::new(&signed_in.0, &meetings, &typed, &faults))
}

impl Advised {
    /// Fields carry the change's number in their names, for there is a form a change on the page.
    fn of(sent: &BTreeMap<String, String>) -> Self {
        let text = |field: &str| sent.get(field).cloned().unwrap_or_default();
        let change = text("change");
        Self { recommends: text(&recommends(&change)), words: text(&words(&change)), change }
    }
}

fn recommends(no: &str) -> String {
    format!("recommends-{no}")
}

fn words(no: &str) -> String {
    format!("words-{no}")
}

impl Called {
    fn read(&self) -> Result<Meeting, Faults> {
        let day = self.held_on.trim().parse().ok();
        let meeting = Meeting { held_on: day.unwrap_or_default(), title: self.title.trim().to_owned() };
        let mut faults = Faults::default();
        if day.is_none() {
            faults.add("held_on", "Write the day, such as 2026-03-01.");
        }
        if meeting.check().is_err() {
            faults.add("title", "Write what the meeting is called, in up to 120 letters.");
        }
        if faults.is_empty() { Ok(meeting) } else { Err(faults) }
    }
}

/// Why advice was refused, in a sentence under its words.
fn refused(problem: &Problem) -> String {
    match problem.field {
        "words" => "Say why, in up to 2,000 letters.".to_owned(),
        _ => format::sentence(&problem.why),
    }
}

async fn find(state: &AppState, id: i64) -> Result<Docket, AppError> {
    let docket = state.store().find_docket(id).await?;
    docket.ok_or_else(|| AppError::NotFound("There is no such meeting.".into()))
}

/// Everything the page of a meeting is made from.
async fn page(
    state: &AppState,
    signed_in: &SignedIn,
    id: i64,
    (typed, faults): (&Advised, &Faults),
) -> Result<DocketPage, AppError> {
    let docket = find(state, id).await?;
    let mut loaded = Vec::new();
    for line in &docket.lines {
        loaded.push(Loaded::find(state, &line.change_no).await?);
    }
    let changes = state.store().list_changes().await?;
    let waiting = changes.into_iter().filter(|change| change.state == Some(ChangeState::Submitted));
    let waiting: Vec<(String, String)> = waiting
        .filter(|change| docket.lines.iter().all(|line| line.change_no != change.change_no))
        .map(|change| (change.change_no, change.title))
        .collect();
    Ok(DocketPage::new(&signed_in.0, &docket, &loaded, &waiting, (typed, faults)))
}

async fn show(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadChanges)?;
    let (typed, faults) = (Advised::default(), Faults::default());
    state.page(&page(&state, &signed_in, id, (&typed, &faults)).await?)
}

async fn put_on(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(id): Path<i64>,
    Form(which): Form<Which>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::KeepDocket)?;
    if which.change.is_empty() {
        return Err(AppError::Unusable(
            "Choose a change to put on the docket. Go back to it to choose one.".into(),
        ));
    }
    state.store().put_on_docket(&signed_in.0, state.now(), id, &which.change).await?;
    Ok(Redirect::to(&address(id)).into_response())
}

async fn take_off(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(id): Path<i64>,
    Form(which): Form<Which>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::KeepDocket)?;
    state.store().take_off_docket(&signed_in.0, state.now(), id, &which.change).await?;
    Ok(Redirect::to(&address(id)).into_response())
}

async fn up(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(id): Path<i64>,
    Form(which): Form<Which>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::KeepDocket)?;
    state.store().move_up_docket(&signed_in.0, state.now(), id, &which.change).await?;
    Ok(Redirect::to(&address(id)).into_response())
}

/// Keeps a member's advice; on one's own record it is refused, and the journal keeps that it was tried.
async fn advise(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(id): Path<i64>,
    Form(sent): Form<BTreeMap<String, String>>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadChanges)?;
    let typed = Advised::of(&sent);
    let loaded = Loaded::find(&state, &typed.change).await?;
    if let Err(why) = signed_in.may(&Act::Advise { drafted_by: loaded.drafted_by() }) {
        return Err(loaded.refuse(&state, &signed_in, "advise", why).await);
    }
    let faults = match typed.recommends.parse::<Disposition>() {
        Err(_) => Faults::one(recommends(&typed.change), "Choose what you recommend."),
        Ok(recommends) => {
            let on = (id, typed.change.as_str());
            match state.store().advise(&signed_in.0, state.now(), on, recommends, &typed.words).await {
                Ok(()) => return Ok(Redirect::to(&address(id)).into_response()),
                Err(StoreError::Refused(problem)) => Faults::one(words(&typed.change), refused(&problem)),
                Err(error) => return Err(error.into()),
            }
        }
    };
    state.refused(&page(&state, &signed_in, id, (&typed, &faults)).await?)
}
