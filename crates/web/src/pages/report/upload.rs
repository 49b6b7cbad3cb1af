//! Reads a sent report form: answers and photographs, each photograph taken apart at once.

use axum::body::Bytes;
use axum::extract::Multipart;
use axum::extract::multipart::MultipartError;

use super::answers::Answers;
use crate::error::AppError;
use crate::photo::{Album, NotAPhoto, Photo};
use crate::tongue::Tongue;
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
    pub photos: Vec<Photo>,
    /// What is wrong with photographs.
    pub problems: Vec<Problem>,
}

/// Reads the whole form. A photograph that can't be taken is a problem beside its field, not an error.
///
/// # Errors
/// A form that is cut off, too large or not a form.
pub async fn read(album: &Album, tongue: Tongue, mut form: Multipart) -> Result<Sent, AppError> {
    let mut sent = Sent::default();
    while let Some(field) = form.next_field().await.map_err(|e| unreadable(tongue, &e))? {
        let name = field.name().unwrap_or_default().to_owned();
        let bytes = field.bytes().await.map_err(|e| unreadable(tongue, &e))?;
        if name == "photo" {
            add_photo(album, tongue, &mut sent, bytes).await?;
        } else if let Some(answer) = sent.answers.field(&name) {
            if bytes.len() > LONGEST_FIELD {
                return Err(AppError::Unusable(tongue.say("wrong-field-long")));
            }
            *answer = String::from_utf8_lossy(&bytes).into_owned();
        }
    }
    Ok(sent)
}

async fn add_photo(album: &Album, tongue: Tongue, sent: &mut Sent, bytes: Bytes) -> Result<(), AppError> {
    // A browser sends an empty file where none was chosen.
    if bytes.is_empty() {
        return Ok(());
    }
    if sent.photos.len() == MOST_PHOTOS {
        sent.problems.push(Problem::new("photo", tongue.say("wrong-photos")));
        return Ok(());
    }
    match album.develop(bytes).await? {
        Ok(photo) => sent.photos.push(photo),
        Err(why) => sent.problems.push(Problem::new("photo", tongue.say(refusal(why)))),
    }
    Ok(())
}

/// The text that tells the sender why a file is not taken as a photograph.
pub(crate) const fn refusal(why: NotAPhoto) -> &'static str {
    match why {
        NotAPhoto::Heic => "wrong-photo-heic",
        NotAPhoto::OtherKind => "wrong-photo-kind",
        NotAPhoto::Damaged => "wrong-photo-damaged",
        NotAPhoto::TooLarge => "wrong-photo-large",
    }
}

fn unreadable(tongue: Tongue, error: &MultipartError) -> AppError {
    let is_large = error.status() == axum::http::StatusCode::PAYLOAD_TOO_LARGE;
    AppError::Unusable(tongue.say(if is_large { "wrong-form-large" } else { "wrong-form-damaged" }))
}
