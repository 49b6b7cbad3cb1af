//! The page of something that couldn't be done.

use axum::http::StatusCode;
use serde::Serialize;

use crate::templates::Page;
use crate::tongue::Tongue;
use crate::view::Shell;

/// One sentence and a way onward.
#[derive(Serialize)]
pub struct ErrorPage {
    shell: Shell,
    heading: String,
    sentence: String,
    onward: String,
    onward_word: String,
    /// What to say when asking about it; only for what is our fault.
    number: Option<String>,
}

impl ErrorPage {
    /// For a status, what the reader is told, where they were, and the request's number.
    pub fn new(tongue: Tongue, status: StatusCode, sentence: String, path: &str, number: String) -> Self {
        let heading = tongue.say(match status.as_u16() {
            401 | 403 => "error-not-from-here",
            404 => "error-not-here",
            409 => "error-quicker",
            413 => "error-large",
            429 => "error-fast",
            400..500 => "error-fit",
            _ => "error-ours",
        });
        let (onward, onward_word) = onward(path, status);
        Self {
            shell: Shell::to_unit(heading.as_str(), tongue),
            heading,
            sentence,
            onward,
            onward_word: tongue.say(onward_word),
            number: status.is_server_error().then_some(number),
        }
    }
}

/// Whoever came by a unit's link has no desk; their own page leads on.
fn onward(path: &str, status: StatusCode) -> (String, &'static str) {
    let mut parts = path.split('/').skip(1);
    match (parts.next(), parts.next()) {
        (Some(place @ ("report" | "unit")), Some(link))
            if !link.is_empty() && status != StatusCode::NOT_FOUND =>
        {
            (format!("/{place}/{link}"), "error-unit")
        }
        _ => ("/".to_owned(), "error-desk"),
    }
}

impl Page for ErrorPage {
    const TEMPLATE: &'static str = "pages/error/error";

    fn samples() -> Vec<Self> {
        let number = || "5f0c91aa".to_owned();
        vec![
            Self::new(
                Tongue::ENGLISH,
                StatusCode::NOT_FOUND,
                "There is no such page.".into(),
                "/nowhere",
                number(),
            ),
            Self::new(
                Tongue::ENGLISH,
                StatusCode::INTERNAL_SERVER_ERROR,
                "Something went wrong.".into(),
                "/",
                number(),
            ),
        ]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_unit_is_led_back_to_its_own_page_and_everybody_else_to_the_desk() {
        let led = |path, status| onward(path, status).0;
        assert_eq!(led("/report/0a1b/photo", StatusCode::PAYLOAD_TOO_LARGE), "/report/0a1b");
        assert_eq!(led("/report/0a1b", StatusCode::NOT_FOUND), "/", "not in a circle");
        assert_eq!(led("/changes/2026-014", StatusCode::FORBIDDEN), "/");
    }
}
