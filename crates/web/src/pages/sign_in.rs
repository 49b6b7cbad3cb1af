//! `/sign-in`, `/sign-out` and the one-time links that sign somebody in.

use std::fmt::Write as _;

use axum::Router;
use axum::extract::{Form, Path, Query, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse as _, Redirect, Response};
use axum::routing::{get, post};
use axum_extra::extract::CookieJar;
use chrono::TimeDelta;
use domain::permission::Actor;
use serde::{Deserialize, Serialize};

use crate::error::AppError;
use crate::format;
use crate::secrets::Token;
use crate::security::session;
use crate::state::AppState;
use crate::templates::Page;
use crate::view::Shell;

/// The form.
#[derive(Serialize)]
pub struct SignInPage {
    shell: Shell,
    name: String,
    back: String,
    problem: Option<String>,
}

impl SignInPage {
    fn new(name: String, back: String, problem: Option<String>) -> Self {
        Self { shell: Shell::outside("Sign in"), name, back, problem }
    }
}

impl Page for SignInPage {
    const TEMPLATE: &'static str = "pages/sign_in/sign_in";

    fn samples() -> Vec<Self> {
        vec![
            Self::new(String::new(), "/".into(), None),
            Self::new("fell".into(), "/sorting".into(), Some(WRONG.into())),
        ]
    }
}

/// Asks before a one-time link is used up, so that a mail program that looks ahead doesn't use it.
#[derive(Serialize)]
pub struct LinkPage {
    shell: Shell,
    name: String,
    address: String,
}

impl Page for LinkPage {
    const TEMPLATE: &'static str = "pages/sign_in/link";

    fn samples() -> Vec<Self> {
        let shell = Shell::outside("Sign in");
        vec![Self { shell, name: "Oda Fell, engineer".into(), address: "/sign-in/link/0a1b".into() }]
    }
}

const WRONG: &str = "This name and password don't belong together. Look at both and try again.";
const USED_UP: &str =
    "This sign-in link was used already or is too old. Ask for a new one, or sign in with a password.";

/// This file's addresses.
pub fn routes() -> Router<AppState> {
    Router::new()
        .route("/sign-in", get(show).post(sign_in))
        .route("/sign-in/link/{token}", get(show_link).post(use_link))
        .route("/sign-out", post(sign_out))
}

/// The sign-in page's address that leads back to `to` afterwards.
pub fn address_back_to(to: &str) -> String {
    if to == "/" {
        return "/sign-in".to_owned();
    }
    let back: String = form_encode(to);
    format!("/sign-in?back={back}")
}

fn form_encode(text: &str) -> String {
    text.bytes().fold(String::new(), |mut out, byte| {
        if byte.is_ascii_alphanumeric() || b"/-_.".contains(&byte) {
            out.push(char::from(byte));
        } else {
            let _ = write!(out, "%{byte:02X}");
        }
        out
    })
}

/// A path of our own, or the desk: a link to us must not send a reader elsewhere after signing in.
pub(crate) fn own_path(back: &str) -> &str {
    let strange = back.contains('\\') || back.chars().any(char::is_control);
    if back.starts_with('/') && !back.starts_with("//") && !strange { back } else { "/" }
}

#[derive(Deserialize)]
struct Back {
    #[serde(default)]
    back: String,
}

#[derive(Deserialize)]
struct SignInForm {
    #[serde(default)]
    name: String,
    #[serde(default)]
    password: String,
    #[serde(default)]
    back: String,
}

async fn show(State(state): State<AppState>, Query(query): Query<Back>) -> Result<Response, AppError> {
    state.page(&SignInPage::new(String::new(), own_path(&query.back).to_owned(), None))
}

async fn sign_in(
    State(state): State<AppState>,
    jar: CookieJar,
    Form(form): Form<SignInForm>,
) -> Result<Response, AppError> {
    let back = own_path(&form.back).to_owned();
    if let Err(wait) = state.tries().begin(&form.name, state.now()) {
        return wait_page(&state, form.name, back, wait);
    }
    let known = state.store().find_password(form.name.trim()).await?;
    let (person, kept) = known.unzip();
    let matches = state.passwords().check(form.password, kept).await.map_err(AppError::inside)?;
    let Some(person) = person.filter(|_| matches) else {
        return state.refused(&SignInPage::new(form.name, back, Some(WRONG.to_owned())));
    };
    state.tries().right(&form.name);
    Ok((session::start(&state, jar, person).await?, Redirect::to(&back)).into_response())
}

/// The same for every name, whether or not anybody has it.
fn wait_page(state: &AppState, name: String, back: String, wait: TimeDelta) -> Result<Response, AppError> {
    let page = state.page(&SignInPage::new(name, back, Some(wait_words(wait))))?;
    Ok(waiting(wait, page))
}

/// What is said after too many wrong passwords.
pub(super) fn wait_words(wait: TimeDelta) -> String {
    let minutes = format::counted(wait.num_seconds().unsigned_abs().div_ceil(60), "minute", "minutes");
    format!(
        "Too many wrong passwords for this name. Wait {minutes}, then try again; a one-time link from an administrator works at once."
    )
}

/// A page that says to wait, as programs read it too.
pub(super) fn waiting(wait: TimeDelta, page: Response) -> Response {
    let retry = [(header::RETRY_AFTER, wait.num_seconds().max(1).to_string())];
    (StatusCode::TOO_MANY_REQUESTS, retry, page).into_response()
}

async fn sign_out(State(state): State<AppState>, jar: CookieJar) -> Result<Response, AppError> {
    Ok((session::end(&state, jar).await?, Redirect::to("/sign-in")).into_response())
}

async fn show_link(State(state): State<AppState>, Path(token): Path<String>) -> Result<Response, AppError> {
    let digest = digest_of(&token)?;
    let Some(Actor::Person { name, .. }) = state.store().find_sign_in_link(&digest, state.now()).await?
    else {
        return Err(AppError::NotFound(USED_UP.to_owned()));
    };
    let address = format!("/sign-in/link/{token}");
    state.page(&LinkPage { shell: Shell::outside("Sign in"), name, address })
}

async fn use_link(
    State(state): State<AppState>,
    jar: CookieJar,
    Path(token): Path<String>,
) -> Result<Response, AppError> {
    let digest = digest_of(&token)?;
    let used = state.store().use_sign_in_link(&digest, state.now()).await?;
    let person = used.ok_or_else(|| AppError::NotFound(USED_UP.to_owned()))?;
    Ok((session::start_by_link(&state, jar, person).await?, Redirect::to("/")).into_response())
}

fn digest_of(token: &str) -> Result<String, AppError> {
    Token::parse(token).map(|token| token.digest()).ok_or_else(|| AppError::NotFound(USED_UP.to_owned()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn signing_in_leads_only_to_our_own_pages() {
        for (asked, given) in [
            ("/sorting?page=2", "/sorting?page=2"),
            ("//elsewhere.example", "/"),
            ("https://elsewhere.example", "/"),
            ("/\\elsewhere.example", "/"),
            ("", "/"),
        ] {
            assert_eq!(own_path(asked), given);
        }
    }

    #[test]
    fn the_way_back_survives_the_address_bar() {
        assert_eq!(address_back_to("/sorting?a=b&c=d"), "/sign-in?back=/sorting%3Fa%3Db%26c%3Dd");
    }
}
