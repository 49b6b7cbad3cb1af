//! No form holds a zero character (U+0000): one of the two databases can't keep it, and no pack takes it.

use axum::body::{Body, Bytes};
use axum::extract::{FromRequest as _, Request};
use axum::http::header;
use axum::middleware::Next;
use axum::response::{IntoResponse as _, Response};

use crate::error::AppError;

/// The character as forms write it.
const ZERO: &str = "%00";

/// Refuses a form with such a character in any of its fields.
pub async fn need(request: Request, next: Next) -> Response {
    let kind = request.headers().get(header::CONTENT_TYPE).and_then(|kind| kind.to_str().ok());
    if !kind.is_some_and(|kind| kind.starts_with("application/x-www-form-urlencoded")) {
        return next.run(request).await;
    }
    let (parts, body) = request.into_parts();
    // With the parts, for they hold how large a form may be.
    let form = match Bytes::from_request(Request::from_parts(parts.clone(), body), &()).await {
        Ok(form) => form,
        Err(refusal) => return refusal.into_response(),
    };
    if form.contains(&0) || form.windows(ZERO.len()).any(|some| some == ZERO.as_bytes()) {
        let says = "What was sent holds a zero character, which is no text. Nothing was kept: go back and write it anew.";
        return AppError::Unusable(says.into()).into_response();
    }
    next.run(Request::from_parts(parts, Body::from(form))).await
}
