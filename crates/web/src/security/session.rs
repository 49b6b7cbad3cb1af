//! Sessions: a random token in a cookie, its digest and an end in the store.

use axum_extra::extract::CookieJar;
use axum_extra::extract::cookie::{Cookie, SameSite};
use chrono::Duration;

use crate::error::AppError;
use crate::secrets::Token;
use crate::state::AppState;

/// The cookie's name. Browsers bind the prefixed name to TLS and this host; a plain-HTTP intranet can't use it.
fn cookie_name(state: &AppState) -> &'static str {
    if state.config().sign_in.secure_cookies { "__Host-sid" } else { "sid" }
}

/// The token a reader carries, if it has the shape of one.
pub fn token(state: &AppState, jar: &CookieJar) -> Option<Token> {
    Token::parse(jar.get(cookie_name(state))?.value())
}

/// Signs somebody in: a new session, whatever the browser carried before.
pub async fn start(state: &AppState, jar: CookieJar, person: i64) -> Result<CookieJar, AppError> {
    if let Some(old) = token(state, &jar) {
        state.people().end_session(&old.digest()).await?;
    }
    let token = state.secrets().token();
    let hours = i64::from(state.config().sign_in.session_hours);
    state.people().add_session(&token.digest(), person, state.now() + Duration::hours(hours)).await?;
    Ok(jar.add(cookie(state, token.as_str().to_owned())))
}

/// Signs out.
pub async fn end(state: &AppState, jar: CookieJar) -> Result<CookieJar, AppError> {
    if let Some(token) = token(state, &jar) {
        state.people().end_session(&token.digest()).await?;
    }
    Ok(jar.remove(cookie(state, String::new())))
}

fn cookie(state: &AppState, value: String) -> Cookie<'static> {
    Cookie::build((cookie_name(state), value))
        .path("/")
        .http_only(true)
        .secure(state.config().sign_in.secure_cookies)
        .same_site(SameSite::Lax)
        .build()
}
