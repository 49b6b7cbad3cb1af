//! Hands a photograph to a reader who may see its report.

use axum::http::{HeaderValue, header};
use axum::response::{IntoResponse as _, Response};
use bytes::Bytes;
use serde::Deserialize;

use super::album::Size;
use crate::error::AppError;
use crate::state::AppState;
use crate::tongue::Tongue;

/// How large it is wanted: `?size=small` for a list.
#[derive(Debug, Default, Deserialize)]
pub(crate) struct Wanted {
    #[serde(default)]
    size: String,
}

/// A photograph that came with a report; asking for the report is the caller's to allow.
///
/// # Errors
/// There is none of that number with this report, or the album can't be read.
pub(crate) async fn photo_of(
    state: &AppState,
    tongue: Tongue,
    report_ref: &str,
    id: i64,
    wanted: &Wanted,
) -> Result<Response, AppError> {
    let nothing = || AppError::NotFound(tongue.say("wrong-photo-number"));
    let photo = state.store().find_photo(id).await?.filter(|photo| photo.report_ref == report_ref);
    let photo = photo.ok_or_else(nothing)?;
    let size = if wanted.size == "small" { Size::Small } else { Size::Whole };
    let jpeg = match photo.bytes {
        Some(bytes) => Bytes::from(bytes),
        None => state.album().find(&photo.sha256, size).await?.ok_or_else(nothing)?,
    };
    Ok(([(header::CONTENT_TYPE, HeaderValue::from_static("image/jpeg"))], jpeg).into_response())
}
