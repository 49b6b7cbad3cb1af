//! Who is asking: the extractors every handler takes the acting person from.

use axum::extract::FromRequestParts;
use axum::http::request::Parts;
use axum_extra::extract::CookieJar;
use domain::permission::{Act, Actor, Refusal, may};

use crate::error::AppError;
use crate::security::session;
use crate::state::AppState;

/// A signed-in person. A page read without one leads to the sign-in page and back.
#[derive(Clone, Debug)]
pub struct SignedIn(pub Actor);

impl SignedIn {
    /// Asks the one place in `domain` whether this person may do something.
    ///
    /// # Errors
    /// The reason of the refusal.
    pub fn may(&self, act: &Act<'_>) -> Result<(), AppError> {
        Ok(may(&self.0, act)?)
    }
}

/// Whoever it is: a signed-in person or anybody.
#[derive(Clone, Debug)]
pub struct Visitor(pub Actor);

impl FromRequestParts<AppState> for Visitor {
    type Rejection = AppError;

    async fn from_request_parts(parts: &mut Parts, state: &AppState) -> Result<Self, AppError> {
        let jar = CookieJar::from_headers(&parts.headers);
        Ok(Self(session::reader(state, &jar).await?))
    }
}

impl FromRequestParts<AppState> for SignedIn {
    type Rejection = AppError;

    async fn from_request_parts(parts: &mut Parts, state: &AppState) -> Result<Self, AppError> {
        match Visitor::from_request_parts(parts, state).await?.0 {
            Actor::Anybody => Err(Refusal::SignInFirst.into()),
            actor => Ok(Self(actor)),
        }
    }
}
