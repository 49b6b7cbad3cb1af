//! A file handed out for keeping, under a name of plain letters.

use axum::http::header;
use axum::response::{IntoResponse as _, Response};

/// A PDF.
pub(crate) fn pdf(name: &str, file: Vec<u8>) -> Response {
    let plain = |letter: char| if letter.is_ascii_alphanumeric() { letter } else { '-' };
    let name: String = name.chars().map(plain).collect();
    let disposition = format!("attachment; filename=\"{name}.pdf\"");
    let heads =
        [(header::CONTENT_TYPE, "application/pdf".to_owned()), (header::CONTENT_DISPOSITION, disposition)];
    (heads, file).into_response()
}
