//! `/healthz`: whether the program answers and reaches its database. `/health/ready`: whether it can show figures as well.

use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::routing::get;

use crate::error::AppError;
use crate::state::AppState;

/// This file's addresses.
pub fn routes() -> Router<AppState> {
    Router::new().route("/healthz", get(health)).route("/health/ready", get(ready))
}

async fn ready(State(state): State<AppState>) -> Result<(StatusCode, &'static str), AppError> {
    let answer = health(State(state.clone())).await;
    match state.picture_awaited() {
        Some(sentence) if answer.0.is_success() => Err(AppError::NotYet(sentence)),
        _ => Ok(answer),
    }
}

async fn health(State(state): State<AppState>) -> (StatusCode, &'static str) {
    match state.store().journal_number().await {
        Ok(_) => (StatusCode::OK, "well\n"),
        Err(error) => {
            tracing::error!(%error, "the database doesn't answer");
            (StatusCode::SERVICE_UNAVAILABLE, "the database doesn't answer\n")
        }
    }
}
