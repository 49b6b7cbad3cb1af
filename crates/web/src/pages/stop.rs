//! `/stop/{secret}`: no more mail about reports, by a button here or by one request of a mail program (RFC 8058).

use axum::Router;
use axum::extract::{Form, Path, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use axum::routing::get;
use serde::{Deserialize, Serialize};

use crate::error::AppError;
use crate::secrets::Token;
use crate::state::AppState;
use crate::templates::Page;
use crate::tongue::Tongue;
use crate::view::Shell;

/// The page.
#[derive(Serialize)]
pub struct StopPage {
    shell: Shell,
    done: bool,
    action: String,
}

/// This file's addresses.
pub fn routes() -> Router<AppState> {
    Router::new().route("/stop/{secret}", get(show).post(stop))
}

fn nothing(tongue: Tongue) -> AppError {
    AppError::NotFound(tongue.say("wrong-stop"))
}

async fn page(state: &AppState, secret: &str, tongue: Tongue) -> Result<Response, AppError> {
    let token = Token::parse(secret).ok_or_else(|| nothing(tongue))?;
    let found = state.store().find_stop(&token.digest()).await?;
    let done = found.ok_or_else(|| nothing(tongue))?;
    let shell = Shell::to_unit(tongue.say("stop-title"), tongue);
    state.page(&StopPage { shell, done, action: format!("/stop/{}", token.as_str()) })
}

/// Looking stops nothing: programs that check links for harm open them all.
async fn show(
    State(state): State<AppState>,
    Path(secret): Path<String>,
    tongue: Tongue,
) -> Result<Response, AppError> {
    page(&state, &secret, tongue).await
}

/// What is sent: nothing by the button, one field by a mail program.
#[derive(Deserialize)]
struct OneClick {
    #[serde(rename = "List-Unsubscribe", default)]
    unsubscribe: String,
}

async fn stop(
    State(state): State<AppState>,
    Path(secret): Path<String>,
    tongue: Tongue,
    Form(sent): Form<OneClick>,
) -> Result<Response, AppError> {
    let token = Token::parse(&secret).ok_or_else(|| nothing(tongue))?;
    if !state.store().stop_by_link(state.now(), &token.digest()).await? {
        return Err(nothing(tongue));
    }
    if sent.unsubscribe == "One-Click" {
        // A mail program follows no redirect (RFC 8058, section 3.1).
        return page(&state, &secret, tongue).await;
    }
    Ok(Redirect::to(&format!("/stop/{}", token.as_str())).into_response())
}

impl Page for StopPage {
    const TEMPLATE: &'static str = "pages/stop/stop";

    fn samples() -> Vec<Self> {
        [false, true]
            .map(|done| Self {
                shell: Shell::to_unit("No more mail", Tongue::ENGLISH),
                done,
                action: "/stop/x".into(),
            })
            .into()
    }
}
