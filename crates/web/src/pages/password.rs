//! `/password`: where a signed-in person sets a password of their own.

use axum::Router;
use axum::extract::{Form, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use axum::routing::get;
use axum_extra::extract::CookieJar;
use chrono::TimeDelta;
use domain::permission::{Actor, Refusal};
use serde::{Deserialize, Serialize};

use super::sign_in::{wait_words, waiting};
use crate::error::AppError;
use crate::security::{SignedIn, password, session};
use crate::state::AppState;
use crate::templates::Page;
use crate::view::{Place, Problem, Shell};

/// How long a one-time link stands for the present password, which may be lost, in the session that began with it: others
/// of the same person, on a screen left open, are no more than they were.
const BY_LINK: TimeDelta = TimeDelta::hours(1);

/// The form.
#[derive(Serialize)]
pub struct PasswordPage {
    shell: Shell,
    /// Whether the present password is asked for.
    asks: bool,
    shortest: usize,
    current: Option<Problem>,
    problem: Option<Problem>,
}

/// What is wrong, and with which field.
enum Wrong {
    Current(String),
    New(&'static str),
}

impl PasswordPage {
    fn new(actor: &Actor, asks: bool, wrong: Option<Wrong>) -> Self {
        let (current, problem) = match wrong {
            Some(Wrong::Current(says)) => (Some(Problem::new("current", says)), None),
            Some(Wrong::New(says)) => (None, Some(Problem::new("password", says))),
            None => (None, None),
        };
        let shell = Shell::inside("Password", actor, Place::Elsewhere);
        Self { shell, asks, shortest: password::SHORTEST, current, problem }
    }
}

impl Page for PasswordPage {
    const TEMPLATE: &'static str = "pages/password/password";

    fn samples() -> Vec<Self> {
        let page = |asks, wrong| Self::new(&Actor::Anybody, asks, wrong);
        vec![
            page(false, None),
            page(true, Some(Wrong::New(TOO_SHORT))),
            page(true, Some(Wrong::Current(WRONG.to_owned()))),
        ]
    }
}

const TOO_SHORT: &str = "Take at least 12 letters: four plain words are easy to keep and hard to guess.";
const DIFFER: &str = "The two don't agree. Write the same password twice.";
const WRONG: &str = "This isn't your present password. Nothing was changed.";

/// This file's addresses.
pub fn routes() -> Router<AppState> {
    Router::new().route("/password", get(show).post(set))
}

#[derive(Default, Deserialize)]
#[serde(default)]
struct PasswordForm {
    current: String,
    password: String,
    again: String,
}

/// Whose password it is.
struct Owner {
    id: i64,
    name: String,
    /// The hash of the present one, where it is asked for.
    kept: Option<String>,
}

async fn owner(state: &AppState, jar: &CookieJar, actor: &Actor) -> Result<Owner, AppError> {
    let Actor::Person { id, .. } = *actor else { return Err(Refusal::SignInFirst.into()) };
    let name = state.store().find_user(id).await?.ok_or(Refusal::SignInFirst)?.name;
    let by_link = session::came_by_link(state, jar, state.now() - BY_LINK).await?;
    let kept = if by_link { None } else { state.store().find_password(&name).await? };
    Ok(Owner { id, name, kept: kept.map(|(_, hash)| hash) })
}

async fn show(
    State(state): State<AppState>,
    signed_in: SignedIn,
    jar: CookieJar,
) -> Result<Response, AppError> {
    let asks = owner(&state, &jar, &signed_in.0).await?.kept.is_some();
    state.page(&PasswordPage::new(&signed_in.0, asks, None))
}

async fn set(
    State(state): State<AppState>,
    signed_in: SignedIn,
    jar: CookieJar,
    Form(form): Form<PasswordForm>,
) -> Result<Response, AppError> {
    let Owner { id, name, kept } = owner(&state, &jar, &signed_in.0).await?;
    let asks = kept.is_some();
    let again = |wrong| PasswordPage::new(&signed_in.0, asks, Some(wrong));
    let unusable = |wrong| state.refused(&again(wrong));
    if form.password.chars().count() < password::SHORTEST {
        return unusable(Wrong::New(TOO_SHORT));
    }
    if form.password != form.again {
        return unusable(Wrong::New(DIFFER));
    }
    if asks {
        // Counted with the tries at the sign-in page: a screen left open is no place to guess at.
        if let Err(wait) = state.tries().begin(&name, state.now()) {
            return Ok(waiting(wait, state.page(&again(Wrong::Current(wait_words(wait))))?));
        }
        if !state.passwords().check(form.current, kept).await.map_err(AppError::inside)? {
            return unusable(Wrong::Current(WRONG.to_owned()));
        }
        state.tries().right(&name);
    }
    let hash = state.passwords().hash(form.password).await.map_err(AppError::inside)?;
    // This ends all their sign-ins and links, so that whoever knew the old password is out; the reader stays in by a new one.
    state.store().set_password(&signed_in.0, state.now(), id, Some(hash)).await?;
    Ok((session::start(&state, jar, id).await?, Redirect::to("/")).into_response())
}

#[cfg(test)]
mod tests {
    use axum::http::StatusCode;
    use domain::permission::Role;

    use super::*;
    use crate::testing::{cookie, get, person, post, service, state, text};

    const OLD: &str = "name=fell&password=seven+dry+karabiners";
    const NEW: &str = "password=nine+wet+ropes+here&again=nine+wet+ropes+here";

    /// The address of a one-time link made for somebody.
    async fn link(state: &AppState, id: i64) -> String {
        let (link, now) = (state.secrets().token(), state.now());
        let until = now + TimeDelta::days(1);
        state.store().add_sign_in_link(&Actor::Program, now, &link.digest(), id, until).await.unwrap();
        format!("/sign-in/link/{}", link.as_str())
    }

    #[tokio::test]
    async fn a_new_password_works_and_ends_every_other_sign_in() {
        let state = state().await;
        let id = person(&state, "fell", Role::Engineer, "seven dry karabiners").await;
        let link = link(&state, id).await;
        let service = service(&state);
        let (one, other) =
            (post(&service, "/sign-in", "", OLD).await, post(&service, "/sign-in", "", OLD).await);
        let (one, other) = (cookie(&one), cookie(&other));
        for wrong in ["password=short&again=short", "password=nine+wet+ropes+here&again=nine+wet+ropes"] {
            let form = format!("current=seven+dry+karabiners&{wrong}");
            assert_eq!(
                post(&service, "/password", &one, &form).await.status(),
                StatusCode::UNPROCESSABLE_ENTITY
            );
        }
        let form = format!("current=seven+dry+karabiners&{NEW}");
        let set = post(&service, "/password", &one, &form).await;
        assert_eq!(get(&service, "/", &cookie(&set)).await.status(), StatusCode::OK);
        assert_eq!(get(&service, "/", &other).await.status(), StatusCode::SEE_OTHER);
        assert_eq!(post(&service, "/sign-in", "", OLD).await.status(), StatusCode::UNPROCESSABLE_ENTITY);
        let left = get(&service, &link, "").await;
        assert_eq!(left.status(), StatusCode::NOT_FOUND, "a link made before ends with the password");
    }

    #[tokio::test]
    async fn the_present_password_is_asked_for_and_guesses_have_to_wait() {
        let state = state().await;
        person(&state, "fell", Role::Engineer, "seven dry karabiners").await;
        let service = service(&state);
        let sid = cookie(&post(&service, "/sign-in", "", OLD).await);
        assert!(text(get(&service, "/password", &sid).await).await.contains("current-password"));
        for guess in ["", "current=a&", "current=b&", "current=c&", "current=d&"] {
            let form = format!("{guess}{NEW}");
            assert_eq!(
                post(&service, "/password", &sid, &form).await.status(),
                StatusCode::UNPROCESSABLE_ENTITY
            );
        }
        let right = format!("current=seven+dry+karabiners&{NEW}");
        let waits = post(&service, "/password", &sid, &right).await;
        assert_eq!(waits.status(), StatusCode::TOO_MANY_REQUESTS);
        assert_eq!(waits.headers()["retry-after"], "60");
    }

    #[tokio::test]
    async fn whoever_lost_their_password_sets_a_new_one_after_a_one_time_link() {
        let state = state().await;
        let id = person(&state, "fell", Role::Engineer, "seven dry karabiners").await;
        let link = link(&state, id).await;
        let service = service(&state);
        let left_open = cookie(&post(&service, "/sign-in", "", OLD).await);
        let sid = cookie(&post(&service, &link, "", "").await);
        assert!(!text(get(&service, "/password", &sid).await).await.contains("current-password"));
        let other = text(get(&service, "/password", &left_open).await).await;
        assert!(other.contains("current-password"), "a screen left open elsewhere is no more than it was");
        let without = post(&service, "/password", &left_open, NEW).await;
        assert_eq!(without.status(), StatusCode::UNPROCESSABLE_ENTITY);
        let set = post(&service, "/password", &sid, NEW).await;
        assert_eq!(set.status(), StatusCode::SEE_OTHER);
        let again = post(&service, "/password", &cookie(&set), NEW).await;
        assert_eq!(again.status(), StatusCode::UNPROCESSABLE_ENTITY, "the link has served");
    }
}
