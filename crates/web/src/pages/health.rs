//! `/healthz`: whether the program answers.

use axum::Router;
use axum::routing::get;

use crate::state::AppState;

/// This file's addresses.
pub fn routes() -> Router<AppState> {
    Router::new().route("/healthz", get(|| async { "well\n" }))
}
