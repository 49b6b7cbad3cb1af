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
    onward: Option<Onward>,
    /// What to say when asking about it; only for what is our fault.
    number: Option<String>,
}

/// Where a reader is led on to.
#[derive(Serialize)]
struct Onward {
    address: String,
    word: String,
    /// Beside this page, which is to be sent once more.
    beside: bool,
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
        let onward = onward(path, status).map(|(address, word)| Onward {
            address,
            word: tongue.say(word),
            beside: status == StatusCode::UNAUTHORIZED,
        });
        Self {
            shell: Shell::to_unit(heading.as_str(), tongue),
            heading,
            sentence,
            onward,
            number: status.is_server_error().then_some(number),
        }
    }
}

/// Whoever came by a secret link has no desk: a unit's own page leads on, a link that opens nothing leads nowhere.
fn onward(path: &str, status: StatusCode) -> Option<(String, &'static str)> {
    if status == StatusCode::UNAUTHORIZED {
        return Some(("/sign-in".to_owned(), "error-sign-in"));
    }
    let mut parts = path.split('/').skip(1);
    match (parts.next(), parts.next().filter(|part| !part.is_empty())) {
        // A unit's reporter who is signed in needs no link.
        (Some("unit"), Some("instructions")) => Some(("/unit".to_owned(), "error-unit")),
        (Some(place @ ("report" | "unit")), Some(link)) if status != StatusCode::NOT_FOUND => {
            Some((format!("/{place}/{link}"), "error-unit"))
        }
        (Some(place @ ("follow" | "stop")), Some(link)) if status != StatusCode::NOT_FOUND => {
            Some((format!("/{place}/{link}"), "error-back"))
        }
        (Some("report" | "unit" | "follow" | "stop"), Some(_)) => None,
        _ => Some(("/".to_owned(), "error-desk")),
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
                StatusCode::UNAUTHORIZED,
                Tongue::ENGLISH.say("error-says-401"),
                "/changes/new",
                number(),
            ),
            Self::new(
                Tongue::ENGLISH,
                StatusCode::NOT_FOUND,
                Tongue::ENGLISH.say("wrong-link"),
                "/unit/0a1b",
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
        let led = |path, status| onward(path, status).map(|(address, _)| address);
        let to = |address: &str| Some(address.to_owned());
        assert_eq!(led("/report/0a1b/photo", StatusCode::PAYLOAD_TOO_LARGE), to("/report/0a1b"));
        assert_eq!(
            led("/unit/0a1b/instructions/I-2026-001", StatusCode::UNPROCESSABLE_ENTITY),
            to("/unit/0a1b")
        );
        assert_eq!(led("/changes/2026-014", StatusCode::FORBIDDEN), to("/"));
        assert_eq!(led("/report", StatusCode::FORBIDDEN), to("/"));
    }

    #[test]
    fn a_reporter_who_is_signed_in_is_led_to_the_page_without_a_link() {
        for status in [StatusCode::NOT_FOUND, StatusCode::UNPROCESSABLE_ENTITY] {
            let (address, word) = onward("/unit/instructions/I-2026-009", status).expect("a way on");
            assert_eq!((address.as_str(), word), ("/unit", "error-unit"));
        }
    }

    #[test]
    fn a_link_that_opens_nothing_leads_nobody_to_a_sign_in_page_nor_in_a_circle() {
        for path in ["/report/0a1b", "/unit/0a1b", "/unit/0a1b/R-1", "/follow/0a1b", "/stop/0a1b"] {
            assert_eq!(onward(path, StatusCode::NOT_FOUND), None, "{path}");
        }
        let (address, word) =
            onward("/follow/0a1b/question/1", StatusCode::TOO_MANY_REQUESTS).expect("a way on");
        assert_eq!((address.as_str(), word), ("/follow/0a1b", "error-back"), "the link is good");
    }

    #[test]
    fn whoever_is_signed_out_signs_in_beside_the_page_that_is_sent_again() {
        let says = Tongue::ENGLISH.say("error-says-401");
        let page = |path| {
            ErrorPage::new(Tongue::ENGLISH, StatusCode::UNAUTHORIZED, says.clone(), path, String::new())
        };
        for path in ["/changes/new", "/unit/instructions/I-2026-001"] {
            let onward = page(path).onward.expect("a way on");
            assert!(onward.beside && onward.address == "/sign-in", "{path}");
        }
    }
}
