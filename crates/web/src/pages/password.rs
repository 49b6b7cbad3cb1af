//! `/password`: where a signed-in person sets a password of their own.

use axum::Router;
use axum::extract::{Form, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse as _, Redirect, Response};
use axum::routing::get;
use axum_extra::extract::CookieJar;
use domain::permission::{Actor, Refusal};
use serde::{Deserialize, Serialize};

use crate::error::AppError;
use crate::security::{SignedIn, password, session};
use crate::state::AppState;
use crate::templates::Page;
use crate::view::{Place, Problem, Shell};

/// The form.
#[derive(Serialize)]
pub struct PasswordPage {
    shell: Shell,
    shortest: usize,
    problem: Option<Problem>,
}

impl PasswordPage {
    fn new(actor: &Actor, problem: Option<&str>) -> Self {
        let problem = problem.map(|says| Problem::new("password", says));
        Self {
            shell: Shell::inside("Password", actor, Place::Elsewhere),
            shortest: password::SHORTEST,
            problem,
        }
    }
}

impl Page for PasswordPage {
    const TEMPLATE: &'static str = "pages/password/password";

    fn samples() -> Vec<Self> {
        vec![Self::new(&Actor::Anybody, None), Self::new(&Actor::Anybody, Some(TOO_SHORT))]
    }
}

const TOO_SHORT: &str = "Take at least 12 letters: four plain words are easy to keep and hard to guess.";
const DIFFER: &str = "The two don't agree. Write the same password twice.";

/// This file's addresses.
pub fn routes() -> Router<AppState> {
    Router::new().route("/password", get(show).post(set))
}

#[derive(Deserialize)]
struct PasswordForm {
    #[serde(default)]
    password: String,
    #[serde(default)]
    again: String,
}

async fn show(State(state): State<AppState>, signed_in: SignedIn) -> Result<Response, AppError> {
    state.page(&PasswordPage::new(&signed_in.0, None))
}

async fn set(
    State(state): State<AppState>,
    signed_in: SignedIn,
    jar: CookieJar,
    Form(form): Form<PasswordForm>,
) -> Result<Response, AppError> {
    let Actor::Person { id, .. } = signed_in.0 else { return Err(Refusal::SignInFirst.into()) };
    let problem = if form.password.chars().count() < password::SHORTEST {
        Some(TOO_SHORT)
    } else {
        (form.password != form.again).then_some(DIFFER)
    };
    if problem.is_some() {
        let page = state.page(&PasswordPage::new(&signed_in.0, problem))?;
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
    }
    let hash = state.passwords().hash(form.password).await.map_err(AppError::inside)?;
    // This ends all their sign-ins, so that whoever knew the old password is out; the reader stays in by a new one.
    state.store().set_password(&signed_in.0, state.now(), id, Some(hash)).await?;
    Ok((session::start(&state, jar, id).await?, Redirect::to("/")).into_response())
}

#[cfg(test)]
mod tests {
    use domain::permission::Role;

    use super::*;
    use crate::testing::{cookie, get, person, post, service, state};

    #[tokio::test]
    async fn a_new_password_works_and_ends_every_other_sign_in() {
        let state = state().await;
        person(&state, "fell", Role::Engineer, "seven dry karabiners").await;
        let service = service(&state);
        let old = "name=fell&password=seven+dry+karabiners";
        let (one, other) =
            (post(&service, "/sign-in", "", old).await, post(&service, "/sign-in", "", old).await);
        let (one, other) = (cookie(&one), cookie(&other));
        for wrong in ["password=short&again=short", "password=nine+wet+ropes+here&again=nine+wet+ropes"] {
            assert_eq!(
                post(&service, "/password", &one, wrong).await.status(),
                StatusCode::UNPROCESSABLE_ENTITY
            );
        }
        let form = "password=nine+wet+ropes+here&again=nine+wet+ropes+here";
        let set = post(&service, "/password", &one, form).await;
        assert_eq!(get(&service, "/", &cookie(&set)).await.status(), StatusCode::OK);
        assert_eq!(get(&service, "/", &other).await.status(), StatusCode::SEE_OTHER);
        assert_eq!(post(&service, "/sign-in", "", old).await.status(), StatusCode::UNPROCESSABLE_ENTITY);
    }
}
