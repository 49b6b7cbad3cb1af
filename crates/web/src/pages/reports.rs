//! `/reports/{ref}`: one report as a record: what was said, how it was sorted, questions, answers, and what it led to.

mod private;
mod sheet;
#[cfg(test)]
mod tests;

use axum::Router;
use axum::extract::{Form, Path, Query, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use axum::routing::{get, post};
use domain::handover::HandoverKind;
use domain::permission::{Act, Actor, Role};
use serde::Deserialize;
use store::ReportFile;

use self::private::Private;
pub use self::sheet::ReportPage;
use self::sheet::Shown;
use crate::address;
use crate::error::AppError;
use crate::pages::follow::{AnswerForm, FollowPage, take_answer};
use crate::pages::hand_over::passed_on;
use crate::photo::{Wanted, photo_of};
use crate::security::SignedIn;
use crate::state::AppState;
use crate::tongue::Tongue;

/// This file's addresses.
pub fn routes() -> Router<AppState> {
    Router::new()
        .route("/reports", get(look_up))
        .route("/reports/{report_ref}", get(show))
        .route("/reports/{report_ref}/hold", get(private::to_hold).post(private::hold))
        .route("/reports/{report_ref}/lift", get(private::to_lift).post(private::lift))
        .route("/reports/{report_ref}/photo/{id}", get(photo))
        .route("/reports/{report_ref}/question/{id}", post(answer))
}

/// The report, for those who may read what its unit wrote.
async fn find(state: &AppState, signed_in: &SignedIn, report_ref: &str) -> Result<ReportFile, AppError> {
    let file = state.store().find_report_file(report_ref).await?;
    // Who may read no report at all isn't told which there are.
    let unit = file.as_ref().map_or("", |file| &file.report.unit);
    signed_in.may(&Act::ReadUnitReports { unit })?;
    file.ok_or_else(|| AppError::NotFound(format!("There is no report {report_ref}.")))
}

/// The code of a report, as somebody reads it from a tag or hears it on the telephone.
#[derive(Deserialize)]
struct LookedUp {
    #[serde(default)]
    code: String,
}

async fn look_up(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Query(LookedUp { code }): Query<LookedUp>,
) -> Result<Redirect, AppError> {
    let code = code.trim();
    let found = match find(&state, &signed_in, code).await {
        // Codes that Bartack gives are in capitals.
        Err(AppError::NotFound(_)) => find(&state, &signed_in, &code.to_uppercase()).await?,
        found => found?,
    };
    Ok(Redirect::to(&address::report(&found.report.report_ref)))
}

async fn show(
    State(state): State<AppState>,
    signed_in: SignedIn,
    tongue: Tongue,
    Path(report_ref): Path<String>,
) -> Result<Response, AppError> {
    let mut file = find(&state, &signed_in, &report_ref).await?;
    // A unit reads the plain words that its link would show, not the engineers' record.
    if matches!(signed_in.0, Actor::Person { role: Role::UnitReporter, .. }) {
        let base = address::report(&report_ref);
        return state.page(&FollowPage::new(&state, tongue, &file, &base, true).await?);
    }
    let picture = state.picture().await?;
    let sorted_by = match file.handling.sorted_by {
        Some(id) => state.store().find_user(id).await?.map(|user| user.full_name),
        None => None,
    };
    let exhibits = state.store().exhibits_of_report(&report_ref).await?;
    let keepers = state.store().keepers(HandoverKind::Question).await?;
    for question in &mut file.questions {
        if let Some(keeper) = keepers.get(&format!("{report_ref} {}", question.id)) {
            question.asked_by = passed_on(&question.asked_by, keeper);
        }
    }
    let shown = Shown {
        actor: &signed_in.0,
        picture: &picture,
        file: &file,
        exhibits: &exhibits,
        sorted_by,
        private: Private::find(&state, &signed_in.0, &file).await?,
        now: state.now(),
    };
    state.page(&ReportPage::new(shown))
}

async fn photo(
    State(state): State<AppState>,
    signed_in: SignedIn,
    tongue: Tongue,
    Path((report_ref, id)): Path<(String, i64)>,
    Query(wanted): Query<Wanted>,
) -> Result<Response, AppError> {
    find(&state, &signed_in, &report_ref).await?;
    photo_of(&state, tongue, &report_ref, id, &wanted).await
}

async fn answer(
    State(state): State<AppState>,
    signed_in: SignedIn,
    tongue: Tongue,
    Path((report_ref, id)): Path<(String, i64)>,
    Form(form): Form<AnswerForm>,
) -> Result<Response, AppError> {
    let file = find(&state, &signed_in, &report_ref).await?;
    let own = address::report(&report_ref);
    let Some(unkept) = take_answer(&state, tongue, &signed_in.0, &file, id, form).await? else {
        return Ok(Redirect::to(&own).into_response());
    };
    let file = find(&state, &signed_in, &report_ref).await?;
    FollowPage::new(&state, tongue, &file, &own, true).await?.refuse(&state, unkept)
}
