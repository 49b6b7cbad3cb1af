//! Steps of a change that need no page of their own: start a record, submit, withdraw, record the proof.

use axum::extract::{Form, Path, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use domain::change::ChangeState;
use domain::change_record::conclusion;
use domain::permission::Act;
use serde::Deserialize;
use store::StoreError;

use super::load::Loaded;
use super::sheet::{ChangePage, Told};
use super::{problem, seam, view};
use crate::address;
use crate::error::AppError;
use crate::evidence;
use crate::preferences::Preferences;
use crate::security::SignedIn;
use crate::state::AppState;

#[derive(Deserialize)]
pub(super) struct Version {
    version: i64,
}

#[derive(Deserialize)]
pub(super) struct To {
    to: String,
}

/// What a form that gives the change up was shown with.
#[derive(Default, Deserialize)]
#[serde(default)]
pub(super) struct Stood {
    version: i64,
    state: String,
}

impl Stood {
    /// The version of the record, and where it stood; a pack that doesn't say leaves it a draft.
    fn read(&self) -> (i64, ChangeState) {
        (self.version, self.state.parse().unwrap_or(ChangeState::Draft))
    }
}

fn back(no: &str) -> Response {
    Redirect::to(&address::change(no)).into_response()
}

/// Begins the record of a change that came with a pack, with the problem its recurrence's figures state.
pub(super) async fn start(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(no): Path<String>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::DraftChange)?;
    let loaded = Loaded::find(&state, &no).await?;
    let field = &loaded.picture.field;
    let problem = match seam::recurrence(&loaded) {
        Some(r) => {
            let (part, mode) = (&field.part_names[r.part], &field.modes[r.mode].code);
            let record = state.store().find_recurrence(part, mode).await?;
            let told_in = problem::told_in(&state, part, mode).await?;
            problem::statement(field, r, record.as_ref(), &told_in)
        }
        None => String::new(),
    };
    state.store().start_record(&signed_in.0, state.now(), &no, &problem).await?;
    Ok(back(&no))
}

/// Puts the record before the board, or says what is missing.
pub(super) async fn submit(
    State(state): State<AppState>,
    signed_in: SignedIn,
    preferences: Preferences,
    Path(no): Path<String>,
    Form(sent): Form<Version>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::DraftChange)?;
    let loaded = Loaded::find_in_step(&state, &no).await?;
    let id = loaded.picture.field.find_change(&no);
    if id.is_none() {
        // Without figures no requirement would be asked about, and the gate would stand open.
        let says =
            "The figures for this change are still being made. Look again in a minute; nothing was changed.";
        return Err(AppError::Overtaken(says.into()));
    }
    let assessed = view::assessment(&loaded.record, &loaded.picture, id);
    if !assessed.missing.is_empty() {
        let page = ChangePage::new(&signed_in.0, &loaded, preferences.mass_unit, Told { gate: true });
        return state.refused(&page);
    }
    let frozen = evidence::freeze(&loaded.record, &loaded.picture, "submission", None, Vec::new())?;
    let (by, now, class) = (&signed_in.0, state.now(), assessed.class);
    state.store().submit_change(by, now, &no, sent.version, class, Some(&frozen)).await?;
    Ok(back(&no))
}

/// Gives the change up, where it still is what the form was shown with.
pub(super) async fn withdraw(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(no): Path<String>,
    Form(shown): Form<Stood>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::DraftChange)?;
    match state.store().withdraw_change(&signed_in.0, state.now(), &no, shown.read()).await {
        Ok(()) => Ok(back(&no)),
        Err(StoreError::Overtaken { .. }) => {
            let change = state.store().find_change(&no).await?;
            let stands = change.and_then(|change| change.state).unwrap_or(ChangeState::Draft);
            Err(AppError::Overtaken(format!(
                "This change was edited or decided while you had its page open: it is {stands} now. It was not \
                 withdrawn; look at it again first."
            )))
        }
        Err(error) => Err(error.into()),
    }
}

/// Records what the figures show; refused where they don't, whatever was sent.
pub(super) async fn conclude(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(no): Path<String>,
    Form(sent): Form<To>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ConcludeChange)?;
    let loaded = Loaded::find_in_step(&state, &no).await?;
    let shown = loaded.verdict().and_then(|verdict| conclusion(loaded.state(), verdict));
    let wanted = match sent.to.as_str() {
        "proved" => ChangeState::Proved,
        _ => ChangeState::NotProved,
    };
    if shown != Some(wanted) {
        let says = "The figures don't say this, or it is on record already. Nothing was recorded.";
        return Err(AppError::Unusable(says.into()));
    }
    let proved = wanted == ChangeState::Proved;
    state.store().conclude_change(&signed_in.0, state.now(), &no, proved).await?;
    Ok(back(&no))
}
