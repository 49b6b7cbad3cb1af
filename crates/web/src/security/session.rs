//! Sessions: a random token in a cookie, its digest and an end in the store, which use moves on.

use axum_extra::extract::CookieJar;
use axum_extra::extract::cookie::{Cookie, SameSite};
use chrono::{DateTime, Duration, Utc};
use domain::permission::Actor;

use crate::error::AppError;
use crate::secrets::Token;
use crate::state::AppState;

/// However much it is used, a session ends so long after it began, and the password is asked for again.
const LONGEST: Duration = Duration::days(7);

/// The cookie's name. Browsers bind the prefixed name to TLS and this host; a plain-HTTP intranet can't use it.
fn cookie_name(state: &AppState) -> &'static str {
    if state.config().sign_in.secure_cookies { "__Host-sid" } else { "sid" }
}

/// The token a reader carries, if it has the shape of one.
pub fn token(state: &AppState, jar: &CookieJar) -> Option<Token> {
    Token::parse(jar.get(cookie_name(state))?.value())
}

/// Whoever a reader is signed in as. Each use of a session keeps it for its whole length more, so that nobody who is at
/// work loses what they typed.
pub async fn reader(state: &AppState, jar: &CookieJar) -> Result<Actor, AppError> {
    let Some(token) = token(state, jar) else { return Ok(Actor::Anybody) };
    let lasts = (length(state), LONGEST);
    let found = state.store().use_sign_in(&token.digest(), state.now(), lasts).await?;
    Ok(found.unwrap_or(Actor::Anybody))
}

/// Signs somebody in: a new session, whatever the browser carried before.
pub async fn start(state: &AppState, jar: CookieJar, person: i64) -> Result<CookieJar, AppError> {
    forget(state, &jar).await?;
    let (token, now) = (state.secrets().token(), state.now());
    state.store().add_sign_in(now, &token.digest(), person, now + length(state)).await?;
    Ok(jar.add(cookie(state, token.as_str().to_owned())))
}

/// The same for whoever has just used a one-time link up.
pub async fn start_by_link(state: &AppState, jar: CookieJar, person: i64) -> Result<CookieJar, AppError> {
    forget(state, &jar).await?;
    let (token, now) = (state.secrets().token(), state.now());
    state.store().add_sign_in_by_link(now, &token.digest(), person, now + length(state)).await?;
    Ok(jar.add(cookie(state, token.as_str().to_owned())))
}

/// Whether a reader's session began with a one-time link since a moment.
pub async fn came_by_link(state: &AppState, jar: &CookieJar, since: DateTime<Utc>) -> Result<bool, AppError> {
    let Some(token) = token(state, jar) else { return Ok(false) };
    Ok(state.store().came_by_link(&token.digest(), since).await?)
}

fn length(state: &AppState) -> Duration {
    Duration::hours(i64::from(state.config().sign_in.session_hours)).min(LONGEST)
}

/// Signs out.
pub async fn end(state: &AppState, jar: CookieJar) -> Result<CookieJar, AppError> {
    forget(state, &jar).await?;
    Ok(jar.remove(cookie(state, String::new())))
}

async fn forget(state: &AppState, jar: &CookieJar) -> Result<(), AppError> {
    let Some(token) = token(state, jar) else { return Ok(()) };
    let digest = token.digest();
    if let Some(who) = state.store().find_sign_in(&digest, state.now()).await? {
        state.store().end_sign_in(&who, state.now(), &digest).await?;
    }
    Ok(())
}

fn cookie(state: &AppState, value: String) -> Cookie<'static> {
    Cookie::build((cookie_name(state), value))
        .path("/")
        .http_only(true)
        .secure(state.config().sign_in.secure_cookies)
        .same_site(SameSite::Lax)
        .build()
}
