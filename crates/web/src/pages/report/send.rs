//! `/report/{secret}`: a unit opens its form and sends it, and is led to its receipt.

use axum::Router;
use axum::extract::{DefaultBodyLimit, Multipart, Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse as _, Redirect, Response};
use axum::routing::get;
use domain::permission::{Act, Actor, may};
use domain::receipt::ReceiptCode;
use domain::report::Report;
use store::{IntakeFacts, UnitLink};

use super::answers::Answers;
use super::form::{Filled, ReportForm};
use super::offer::offer;
use super::upload::{self, Sent};
use crate::error::AppError;
use crate::secrets::{Token, digest_hex};
use crate::state::AppState;
use crate::view::Problem;

const NO_LINK: &str = "This link doesn't open anything any more. Ask your equipment engineer for a new one.";

/// This file's addresses.
pub fn routes(state: &AppState) -> Router<AppState> {
    let largest = DefaultBodyLimit::max(state.config().limits.photo_bytes);
    Router::new().route("/report/{secret}", get(show).post(send).layer(largest))
}

/// Who holds a unit's link; a revoked one opens nothing.
///
/// # Errors
/// A sentence for the holder of a link that opens nothing.
pub async fn holder(state: &AppState, secret: &str) -> Result<(UnitLink, Actor), AppError> {
    let nothing = || AppError::NotFound(NO_LINK.to_owned());
    let token = Token::parse(secret).ok_or_else(nothing)?;
    let link = state.store().find_unit_link(&token.digest()).await?.ok_or_else(nothing)?;
    let actor = Actor::UnitLink { unit: link.unit.clone() };
    Ok((link, actor))
}

async fn show(State(state): State<AppState>, Path(secret): Path<String>) -> Result<Response, AppError> {
    let (link, _) = holder(&state, &secret).await?;
    let answers = Answers { client_key: state.secrets().token().as_str().to_owned(), ..Answers::default() };
    form(&state, &link.unit, &secret, &answers, Vec::new()).await
}

async fn form(
    state: &AppState,
    unit: &str,
    secret: &str,
    answers: &Answers,
    problems: Vec<Problem>,
) -> Result<Response, AppError> {
    let picture = state.picture().await?;
    let action = format!("/report/{secret}");
    let offer = offer(&picture.field);
    state.page(&ReportForm::new(Filled { unit, action: &action, offer: &offer, answers, problems }))
}

async fn send(
    State(state): State<AppState>,
    Path(secret): Path<String>,
    multipart: Multipart,
) -> Result<Response, AppError> {
    let (link, actor) = holder(&state, &secret).await?;
    may(&actor, &Act::SendReport { unit: &link.unit })?;
    let Sent { answers, photos, mut problems } = upload::read(multipart).await?;
    let code = ReceiptCode::draw(&mut || state.secrets().bits());
    let report = answers.report(code.as_str(), &link.unit, state.today());
    let report = match report {
        Ok(report) if problems.is_empty() => report,
        other => {
            problems.extend(other.err().unwrap_or_default());
            let page = form(&state, &link.unit, &secret, &answers, problems).await?;
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
        }
    };
    known(&state, &report).await?;
    let Some(key) = Token::parse(&answers.client_key) else {
        return Err(AppError::Unusable("The form is incomplete. Open your unit's link again.".to_owned()));
    };
    // The receipt's secret follows from the form's key: whoever sends the same form again is led to the same receipt.
    let opens = Token::parse(&digest_hex(format!("receipt {}", key.as_str()).as_bytes()));
    let opens = opens.ok_or_else(|| AppError::inside("a digest has the shape of a token"))?;
    let facts = IntakeFacts {
        receipt_code: code.to_string(),
        client_key: key.digest(),
        secret_hash: opens.digest(),
        unit_link_id: Some(link.id),
        altered_by: Some(answers.altered_by.trim().to_owned()).filter(|text| !text.is_empty()),
    };
    state.store().send_report(&actor, state.now(), &report, &facts, &photos).await?;
    Ok(Redirect::to(&format!("/follow/{}", opens.as_str())).into_response())
}

/// Refuses an item or part that isn't in the books, which only a form made by hand can name.
async fn known(state: &AppState, report: &Report) -> Result<(), AppError> {
    let picture = state.picture().await?;
    for part_no in std::iter::once(&report.item_part_no).chain(&report.part_no) {
        if picture.field.part_names.find(part_no).is_none() {
            return Err(AppError::Unusable(format!("There is no part {part_no}. Choose one from the list.")));
        }
    }
    Ok(())
}
