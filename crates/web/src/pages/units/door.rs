//! `/unit/{secret}` through a unit's link, `/unit` for its reporter who is signed in: the unit's own page.

use axum::Router;
use axum::extract::{Form, Path, Query, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use axum::routing::{get, post};
use domain::permission::{Act, Actor, Refusal, may};
use store::{Page as Rows, ReportFile};

use super::orders::orders_of;
use super::own::{Own, OwnPage};
use crate::address;
use crate::error::AppError;
use crate::pages::follow::{AnswerForm, FollowPage, take_answer};
use crate::pages::report::door::holder;
use crate::photo::{Wanted, photo_of};
use crate::security::SignedIn;
use crate::state::AppState;
use crate::tongue::Tongue;

/// Latest reports shown.
pub(super) const SHOWN: u64 = 100;

/// This file's addresses.
pub(super) fn routes() -> Router<AppState> {
    Router::new()
        .route("/unit", get(signed_in))
        .route("/unit/{secret}", get(show))
        .route("/unit/{secret}/{report_ref}", get(report))
        .route("/unit/{secret}/{report_ref}/photo/{id}", get(photo))
        .route("/unit/{secret}/{report_ref}/question/{id}", post(answer))
}

async fn page(
    state: &AppState,
    tongue: Tongue,
    unit: &str,
    (own_page, form, base): (&str, &str, &str),
) -> Result<Response, AppError> {
    let name = state.store().find_unit(unit).await?.and_then(|unit| unit.name);
    let questions = state.store().open_questions_of(unit).await?;
    let lines = state.store().reports_of_unit(unit, Rows::first(SHOWN)).await?;
    let orders = orders_of(state, tongue, (unit, own_page)).await?;
    state.page(&OwnPage::new(Own {
        tongue,
        unit,
        name,
        form,
        base,
        orders,
        questions: &questions,
        lines: &lines,
    }))
}

async fn signed_in(
    State(state): State<AppState>,
    signed_in: SignedIn,
    tongue: Tongue,
) -> Result<Response, AppError> {
    let Actor::Person { unit: Some(unit), .. } = &signed_in.0 else {
        return Err(Refusal::NotYourUnit.into());
    };
    signed_in.may(&Act::ReadUnitReports { unit })?;
    page(&state, tongue, unit, ("/unit", "/report", "/reports")).await
}

async fn show(
    State(state): State<AppState>,
    Path(secret): Path<String>,
    tongue: Tongue,
) -> Result<Response, AppError> {
    let (link, actor) = holder(&state, &secret, tongue).await?;
    may(&actor, &Act::ReadUnitReports { unit: &link.unit })?;
    let own_page = format!("/unit/{secret}");
    page(&state, tongue, &link.unit, (&own_page, &format!("/report/{secret}"), &own_page)).await
}

/// A report of the unit whose link it is; of other units' reports a link doesn't even tell whether there are any.
async fn find(
    state: &AppState,
    tongue: Tongue,
    (secret, report_ref): (&str, &str),
) -> Result<(Actor, ReportFile), AppError> {
    let (_, actor) = holder(state, secret, tongue).await?;
    let file = state.store().find_report_file(report_ref).await?;
    let own = file.filter(|file| may(&actor, &Act::ReadUnitReports { unit: &file.report.unit }).is_ok());
    let own = own.ok_or_else(|| {
        AppError::NotFound(tongue.with("wrong-own-report", &[("report", report_ref.into())]))
    })?;
    Ok((actor, own))
}

fn of(secret: &str, report_ref: &str) -> String {
    format!("/unit/{secret}/{}", address::segment(report_ref))
}

async fn report(
    State(state): State<AppState>,
    Path((secret, report_ref)): Path<(String, String)>,
    tongue: Tongue,
) -> Result<Response, AppError> {
    let (_, file) = find(&state, tongue, (&secret, &report_ref)).await?;
    let page = FollowPage::new(&state, tongue, &file, &of(&secret, &report_ref), false).await?;
    state.page(&page.back_to(tongue.say("own-all"), format!("/unit/{secret}")))
}

async fn photo(
    State(state): State<AppState>,
    Path((secret, report_ref, id)): Path<(String, String, i64)>,
    Query(wanted): Query<Wanted>,
    tongue: Tongue,
) -> Result<Response, AppError> {
    find(&state, tongue, (&secret, &report_ref)).await?;
    photo_of(&state, tongue, &report_ref, id, &wanted).await
}

async fn answer(
    State(state): State<AppState>,
    Path((secret, report_ref, id)): Path<(String, String, i64)>,
    tongue: Tongue,
    Form(form): Form<AnswerForm>,
) -> Result<Response, AppError> {
    let (actor, file) = find(&state, tongue, (&secret, &report_ref)).await?;
    let own = of(&secret, &report_ref);
    let Some(unkept) = take_answer(&state, tongue, &actor, &file, id, form).await? else {
        return Ok(Redirect::to(&own).into_response());
    };
    let (_, file) = find(&state, tongue, (&secret, &report_ref)).await?;
    let page = FollowPage::new(&state, tongue, &file, &own, false).await?;
    page.back_to(tongue.say("own-all"), format!("/unit/{secret}")).refuse(&state, unkept)
}
