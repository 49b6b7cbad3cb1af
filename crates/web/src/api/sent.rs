//! Reads a JSON body, and says which field is not of its kind.

use axum::Json;
use axum::extract::rejection::JsonRejection;
use axum::extract::{FromRequest, Request};
use axum::response::IntoResponse as _;
use serde::de::DeserializeOwned;

use super::problem::ApiError;
use crate::state::AppState;

/// What was sent.
pub(super) struct Sent<T>(pub(super) T);

impl<T: DeserializeOwned> FromRequest<AppState> for Sent<T> {
    type Rejection = ApiError;

    async fn from_request(request: Request, state: &AppState) -> Result<Self, ApiError> {
        match Json::<T>::from_request(request, state).await {
            Ok(Json(sent)) => Ok(Self(sent)),
            Err(JsonRejection::JsonDataError(error)) => Err(of_field(&error.body_text())),
            Err(other) => Err(ApiError::Bare(other.into_response().status())),
        }
    }
}

/// The library says `...: field: what is wrong at line 1 column 2`, or leaves the field out where it is the whole.
fn of_field(said: &str) -> ApiError {
    let what = said.split_once("target type: ").map_or(said, |(_, rest)| rest);
    let what = what.split_once(" at line ").map_or(what, |(what, _)| what);
    let (field, says) = match what.split_once(": ") {
        Some((field, says)) if !field.contains(' ') => (field, says),
        _ => ("body", what),
    };
    ApiError::field(field, says)
}
