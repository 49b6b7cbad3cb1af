//! `/report/{secret}` for whoever holds a unit's link, `/report` for who is signed in: the form, and sending it.

use axum::Router;
use axum::extract::{DefaultBodyLimit, Multipart, Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse as _, Redirect, Response};
use axum::routing::get;
use domain::receipt::ReceiptCode;

use super::answers::Answers;
use super::door::Door;
use super::form::{Filled, ReportForm};
use super::keep::{Kept, Sending, keep};
use super::offer::offer;
use super::upload::{self, Sent};
use crate::error::AppError;
use crate::secrets::Token;
use crate::security::{SignedIn, headers};
use crate::state::AppState;
use crate::tongue::Tongue;
use crate::view::Problem;

/// This file's addresses.
pub fn routes(state: &AppState) -> Router<AppState> {
    let largest = DefaultBodyLimit::max(state.config().limits.photo_bytes);
    Router::new()
        .route("/report", get(show_signed_in).post(send_signed_in))
        .route("/report/{secret}", get(show).post(send))
        .layer(largest)
        .merge(super::install::routes())
        .merge(super::label::routes())
}

async fn show(
    State(state): State<AppState>,
    Path(secret): Path<String>,
    tongue: Tongue,
) -> Result<Response, AppError> {
    let door = Door::by_link(&state, &secret, tongue).await?;
    empty(&state, &door).await
}

async fn show_signed_in(
    State(state): State<AppState>,
    signed_in: SignedIn,
    tongue: Tongue,
) -> Result<Response, AppError> {
    let door = Door::signed_in(&signed_in, tongue)?;
    empty(&state, &door).await
}

async fn send(
    State(state): State<AppState>,
    Path(secret): Path<String>,
    tongue: Tongue,
    multipart: Multipart,
) -> Result<Response, AppError> {
    let door = Door::by_link(&state, &secret, tongue).await?;
    door.count(&state)?;
    take(&state, &door, upload::read(state.album(), tongue, multipart).await?).await
}

async fn send_signed_in(
    State(state): State<AppState>,
    signed_in: SignedIn,
    tongue: Tongue,
    multipart: Multipart,
) -> Result<Response, AppError> {
    let door = Door::signed_in(&signed_in, tongue)?;
    take(&state, &door, upload::read(state.album(), tongue, multipart).await?).await
}

async fn empty(state: &AppState, door: &Door) -> Result<Response, AppError> {
    let answers = Answers { client_key: new_key(state), ..Answers::default() };
    form(state, door, &answers, false, Vec::new()).await
}

fn new_key(state: &AppState) -> String {
    state.secrets().token().as_str().to_owned()
}

async fn form(
    state: &AppState,
    door: &Door,
    answers: &Answers,
    photos_came: bool,
    problems: Vec<Problem>,
) -> Result<Response, AppError> {
    let offer = offer(state.store()).await?;
    let units = if door.unit.is_none() { state.store().list_units().await? } else { Vec::new() };
    let contact_days = state.config().mail.contact_days;
    let filled = Filled { door, units: &units, offer: &offer, answers, contact_days, photos_came, problems };
    let page = state.page(&ReportForm::new(filled))?;
    Ok(headers::lets_labels_be_read(page))
}

/// The form again, with what is wrong.
async fn again(
    state: &AppState,
    door: &Door,
    answers: &Answers,
    photos_came: bool,
    problems: Vec<Problem>,
) -> Result<Response, AppError> {
    let page = form(state, door, answers, photos_came, problems).await?;
    Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
}

/// Keeps what was sent and leads to its receipt, or shows the form again with what is wrong.
async fn take(state: &AppState, door: &Door, sent: Sent) -> Result<Response, AppError> {
    let Sent { answers, photos, mut problems } = sent;
    let photos_came = !photos.is_empty() || problems.iter().any(|problem| problem.is_of("photo"));
    let unit = door.unit.as_deref().unwrap_or(answers.unit.trim());
    door.may_send_for(unit)?;
    if state.store().find_unit(unit).await?.is_none() {
        problems.push(Problem::new("unit", door.tongue.say("wrong-unit")));
    }
    let item = answers.item.trim();
    if !item.is_empty() && !state.store().is_item(item).await? {
        problems.push(Problem::new("item", door.tongue.say("wrong-item")));
    }
    let part = answers.part.trim();
    if !part.is_empty() && state.store().revisions_of(part).await?.is_empty() {
        let says = door.tongue.with("wrong-part", &[("part", part.into())]);
        problems.push(Problem::new("part", says));
    }
    // The reference is the receipt code, which is drawn when the report is kept.
    let report = match answers.report(door.tongue, "", unit, state.today()) {
        Ok(report) if problems.is_empty() => report,
        other => {
            problems.extend(other.err().unwrap_or_default());
            return again(state, door, &answers, photos_came, problems).await;
        }
    };
    let key = Token::parse(&answers.client_key)
        .ok_or_else(|| AppError::Unusable(door.tongue.say("wrong-form-incomplete")))?;
    let sending = Sending {
        by: &door.actor,
        key: &key,
        unit_link_id: door.unit_link_id,
        altered_by: &answers.altered_by,
        contact: answers.contact(door.tongue),
        photos: &photos,
    };
    let draw = || ReceiptCode::draw(&mut || state.secrets().bits());
    let kept = keep(state, report, sending, draw).await?;
    match kept {
        Kept::Here(opens) => Ok(Redirect::to(&format!("/follow/{}", opens.as_str())).into_response()),
        Kept::KeyUsed(code) => {
            let says = door.tongue.with("wrong-key-used", &[("code", code.into())]);
            let answers = Answers { client_key: new_key(state), ..answers };
            again(state, door, &answers, photos_came, vec![Problem::new("story", says)]).await
        }
    }
}
