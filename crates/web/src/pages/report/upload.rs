//! Reads a sent report form: answers and photographs, each photograph taken apart at once.

use axum::extract::Multipart;
use axum::extract::multipart::MultipartError;
use store::NewPhoto;

use super::answers::Answers;
use crate::error::AppError;
use crate::photo::{Photo, develop};
use crate::secrets::digest_hex;
use crate::view::Problem;

/// Most photographs with one report.
pub(crate) const MOST_PHOTOS: usize = 6;
/// Longest answer that is read at all, in bytes; the form's own limits are far below.
const LONGEST_FIELD: usize = 64 * 1024;

/// What was sent.
#[derive(Debug, Default)]
pub struct Sent {
    /// What was typed.
    pub answers: Answers,
    /// The photographs, fit to be kept.
    pub photos: Vec<NewPhoto>,
    /// What is wrong with photographs.
    pub problems: Vec<Problem>,
}

/// Reads the whole form. A photograph that can't be taken is a problem beside its field, not an error.
///
/// # Errors
/// A form that is cut off, too large or not a form.
pub async fn read(mut form: Multipart) -> Result<Sent, AppError> {
    let mut sent = Sent::default();
    while let Some(field) = form.next_field().await.map_err(|e| unreadable(&e))? {
        let name = field.name().unwrap_or_default().to_owned();
        let bytes = field.bytes().await.map_err(|e| unreadable(&e))?;
        if name == "photo" {
            add_photo(&mut sent, bytes.to_vec()).await?;
        } else if let Some(answer) = sent.answers.field(&name) {
            if bytes.len() > LONGEST_FIELD {
                return Err(AppError::Unusable(
                    "One answer was far too long, so nothing was kept.".to_owned(),
                ));
            }
            *answer = String::from_utf8_lossy(&bytes).into_owned();
        }
    }
    Ok(sent)
}

async fn add_photo(sent: &mut Sent, bytes: Vec<u8>) -> Result<(), AppError> {
    // A browser sends an empty file where none was chosen.
    if bytes.is_empty() {
        return Ok(());
    }
    if sent.photos.len() == MOST_PHOTOS {
        sent.problems.push(Problem::new("photo", "Six photographs at most; choose the ones that show most."));
        return Ok(());
    }
    match tokio::task::spawn_blocking(move || develop(&bytes)).await.map_err(AppError::inside)? {
        Ok(photo) => sent.photos.push(to_keep(photo)),
        Err(why) => sent.problems.push(Problem::new("photo", why.to_string())),
    }
    Ok(())
}

/// A developed picture as it is kept.
pub(crate) fn to_keep(photo: Photo) -> NewPhoto {
    NewPhoto {
        sha256: digest_hex(&photo.jpeg),
        media_type: "image/jpeg".to_owned(),
        width: photo.width,
        height: photo.height,
        bytes: photo.jpeg,
    }
}

fn unreadable(error: &MultipartError) -> AppError {
    if error.status() == axum::http::StatusCode::PAYLOAD_TOO_LARGE {
        AppError::Unusable(
            "This is larger than can be taken, so nothing was kept. Send fewer photographs.".to_owned(),
        )
    } else {
        AppError::Unusable("The form arrived damaged, so nothing was kept. Please send it again.".to_owned())
    }
}
