//! Who is asking the API: the holder of a key, and nobody else.

use axum::extract::FromRequestParts;
use axum::http::header::AUTHORIZATION;
use axum::http::request::Parts;
use domain::permission::{Act, Actor, Refusal, may};

use super::problem::ApiError;
use crate::secrets::Token;
use crate::state::AppState;

/// The program that holds a key, as one who acts.
pub(super) struct Caller {
    /// As whom it acts.
    pub(super) actor: Actor,
    /// Its key.
    pub(super) token: Token,
}

impl Caller {
    /// Asks the one place in `domain` whether this program may do something.
    pub(super) fn may(&self, act: &Act<'_>) -> Result<(), ApiError> {
        Ok(may(&self.actor, act)?)
    }
}

impl FromRequestParts<AppState> for Caller {
    type Rejection = ApiError;

    async fn from_request_parts(parts: &mut Parts, state: &AppState) -> Result<Self, ApiError> {
        let token = bearer(parts).ok_or(Refusal::SignInFirst)?;
        let actor = state.store().find_api_key(&token.digest()).await?.ok_or(Refusal::SignInFirst)?;
        Ok(Self { actor, token })
    }
}

fn bearer(parts: &Parts) -> Option<Token> {
    let (scheme, token) = parts.headers.get(AUTHORIZATION)?.to_str().ok()?.split_once(' ')?;
    scheme.eq_ignore_ascii_case("bearer").then(|| Token::parse(token.trim())).flatten()
}
