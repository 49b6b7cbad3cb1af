//! The page of something that couldn't be done.

use axum::http::StatusCode;
use serde::Serialize;

use crate::templates::Page;
use crate::view::Shell;

/// One sentence and a way onward.
#[derive(Serialize)]
pub struct ErrorPage {
    shell: Shell,
    heading: &'static str,
    sentence: String,
    status: u16,
}

impl ErrorPage {
    /// For a status and what the reader is told.
    pub fn new(status: StatusCode, sentence: String) -> Self {
        let heading = match status.as_u16() {
            401 | 403 => "Not from here",
            404 => "Not here",
            409 => "Somebody was quicker",
            413 => "Too large",
            429 => "Too fast",
            400..500 => "That didn't fit",
            _ => "A seam gave way",
        };
        Self { shell: Shell::outside(heading), heading, sentence, status: status.as_u16() }
    }
}

impl Page for ErrorPage {
    const TEMPLATE: &'static str = "pages/error/error";

    fn samples() -> Vec<Self> {
        vec![
            Self::new(StatusCode::NOT_FOUND, "There is no such page.".into()),
            Self::new(StatusCode::INTERNAL_SERVER_ERROR, "Something went wrong on our side.".into()),
        ]
    }
}
