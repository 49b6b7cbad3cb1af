//! `POST /reports/{report_ref}/photos`: one photograph a request, as the bytes of the picture.

use axum::Json;
use axum::body::Bytes;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, StatusCode, header};
use domain::permission::Act;
use serde::Serialize;
use utoipa::ToSchema;

use crate::api::caller::Caller;
use crate::api::problem::{ApiError, Problem};
use crate::error::AppError;
use crate::pages::report::upload::{MOST_PHOTOS, refusal};
use crate::state::AppState;
use crate::tongue::Tongue;

/// A photograph that was kept.
#[derive(Serialize, ToSchema)]
#[schema(as = Photo)]
pub(in crate::api) struct Kept {
    /// The report it belongs to.
    #[schema(examples("K7M4-RT9X"))]
    pub(in crate::api) report_ref: String,
    /// Width as kept, in pixels; the longest edge is 2,400 at most.
    #[schema(minimum = 1, maximum = 2400)]
    pub(in crate::api) width: u32,
    /// Height as kept, in pixels.
    #[schema(minimum = 1, maximum = 2400)]
    pub(in crate::api) height: u32,
    /// Whether the same picture was there already; nothing was kept anew then.
    pub(in crate::api) sent_before: bool,
}

/// Add a photograph to a report
///
/// JPEG, PNG or WebP; six a report at most. It is kept as an upright JPEG without position, camera or any other hidden
/// data.
#[utoipa::path(post, path = "/reports/{report_ref}/photos", tag = "Reports", operation_id = "add_photo",
    params(("report_ref" = String, Path, description = "The reference on the receipt.", example = "K7M4-RT9X")),
    request_body(content(("image/jpeg"), ("image/png"), ("image/webp")), description = "The picture."),
    responses(
        (status = 201, description = "It is kept.", body = Kept, example = json!(crate::api::samples::photo())),
        (status = 200, description = "The same picture was kept before.", body = Kept),
        (status = 404, description = "No such report.", body = Problem, content_type = "application/problem+json"),
        (status = 415, description = "Not a picture.", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(in crate::api) async fn add(
    State(state): State<AppState>,
    caller: Caller,
    Path(report_ref): Path<String>,
    headers: HeaderMap,
    bytes: Result<Bytes, axum::extract::rejection::BytesRejection>,
) -> Result<(StatusCode, Json<Kept>), ApiError> {
    let file = super::file(&state, &caller, &report_ref).await?;
    caller.may(&Act::SendReport { unit: &file.report.unit })?;
    let kind = headers.get(header::CONTENT_TYPE).and_then(|kind| kind.to_str().ok());
    if !kind.is_some_and(|kind| kind.starts_with("image/")) {
        return Err(ApiError::Bare(StatusCode::UNSUPPORTED_MEDIA_TYPE));
    }
    let bytes = bytes.map_err(|rejection| ApiError::Bare(rejection.status()))?;
    let developed = state.album().develop(bytes).await?;
    let photo = developed.map_err(|why| ApiError::field("photo", Tongue::ENGLISH.say(refusal(why))))?;
    let kept = state.album().keep(&[photo]).await?;
    let photo = kept.first().ok_or_else(|| AppError::inside("one picture was kept"))?;
    let most = MOST_PHOTOS as u64;
    let is_new = state.store().add_photo(&caller.actor, state.now(), &report_ref, photo, most).await?;
    let kept = Kept { report_ref, width: photo.width, height: photo.height, sent_before: !is_new };
    Ok((if is_new { StatusCode::CREATED } else { StatusCode::OK }, Json(kept)))
}
