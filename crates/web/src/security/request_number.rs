//! A number for each request, so that what a reader was told can be found in the log.

use axum::extract::{Request, State};
use axum::middleware::Next;
use axum::response::Response;

use crate::secrets::hex;
use crate::state::AppState;

/// Eight digits, drawn anew for each request.
#[derive(Clone, Debug)]
pub struct RequestNumber(pub String);

/// Middleware: gives the request its number.
pub async fn draw(State(state): State<AppState>, mut request: Request, next: Next) -> Response {
    let [a, b, c, d, ..] = state.secrets().bits().to_le_bytes();
    request.extensions_mut().insert(RequestNumber(hex(&[a, b, c, d])));
    next.run(request).await
}
