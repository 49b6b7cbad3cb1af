//! Which language a reader is spoken to in: the one they chose, else the one their browser asks for, else English.

use std::convert::Infallible;

use axum::extract::{FromRequestParts, Request};
use axum::http::request::Parts;
use axum::http::{HeaderMap, Uri, header};
use axum::middleware::Next;
use axum::response::{IntoResponse as _, Redirect, Response};
use axum_extra::extract::CookieJar;
use axum_extra::extract::cookie::{Cookie, SameSite};
use domain::language::Language;
use fluent_langneg::{NegotiationStrategy, negotiate_languages, parse_accepted_languages};

use super::Tongue;
use crate::pages::sign_in::own_path;

const COOKIE: &str = "language";
/// What a link that chooses a language ends with, before its code.
const ASKED: &str = "language=";

impl Tongue {
    /// As the reader wants who sent these headers.
    pub(crate) fn of_headers(headers: &HeaderMap) -> Self {
        let jar = CookieJar::from_headers(headers);
        let chosen = jar.get(COOKIE).and_then(|cookie| cookie.value().parse().ok());
        Self::of(chosen.unwrap_or_else(|| {
            let asked = headers.get(header::ACCEPT_LANGUAGE).and_then(|value| value.to_str().ok());
            negotiated(asked.unwrap_or_default())
        }))
    }
}

/// The first language of the browser's list that is spoken here.
fn negotiated(asked: &str) -> Language {
    let asked = parse_accepted_languages(asked);
    let spoken: Vec<fluent_langneg::LanguageIdentifier> =
        Language::ALL.iter().filter_map(|language| language.word().parse().ok()).collect();
    let found = negotiate_languages(&asked, &spoken, None, NegotiationStrategy::Lookup);
    found.first().and_then(|found| found.to_string().parse().ok()).unwrap_or(Language::English)
}

impl<S: Sync> FromRequestParts<S> for Tongue {
    type Rejection = Infallible;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Infallible> {
        Ok(Self::of_headers(&parts.headers))
    }
}

/// Middleware: an address that ends in `?language=de` keeps the choice for a year and leads to the page itself.
pub(crate) async fn choose(request: Request, next: Next) -> Response {
    let asked = chosen(request.uri()).filter(|_| request.method().is_safe());
    let Some(language) = asked else { return next.run(request).await };
    let cookie = Cookie::build((COOKIE, language.word()))
        .path("/")
        .http_only(true)
        .same_site(SameSite::Lax)
        .permanent();
    (CookieJar::new().add(cookie), Redirect::to(own_path(request.uri().path()))).into_response()
}

fn chosen(uri: &Uri) -> Option<Language> {
    uri.query()?.strip_prefix(ASKED)?.parse().ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_browser_is_answered_in_the_first_language_it_lists_that_is_spoken_here() {
        // The header's form is RFC 9110, section 12.5.4; the second example is its own.
        assert_eq!(negotiated("de-AT, de;q=0.9, en;q=0.8"), Language::German);
        assert_eq!(negotiated("da, en-gb;q=0.8, en;q=0.7"), Language::English);
        assert_eq!(negotiated("it;q=0.9, fr-CH;q=0.8"), Language::French);
        assert_eq!(negotiated("ja"), Language::English);
        assert_eq!(negotiated(""), Language::English);
        assert_eq!(negotiated(";;q=,*\u{7f}"), Language::English);
    }

    #[tokio::test]
    async fn choosing_a_language_leads_to_the_page_itself_and_nowhere_else() {
        let service = crate::testing::service(&crate::testing::state().await);
        for (asked, leads) in [
            ("/follow/abc?language=de", "/follow/abc"),
            // A browser reads two slashes as another house (RFC 3986, section 4.2).
            ("//elsewhere.example/x?language=de", "/"),
        ] {
            let answer = crate::testing::get(&service, asked, "").await;
            assert_eq!(answer.status(), axum::http::StatusCode::SEE_OTHER, "{asked}");
            assert_eq!(answer.headers()[header::LOCATION], leads, "{asked}");
        }
    }

    #[test]
    fn what_the_reader_chose_goes_before_what_the_browser_asks() {
        let mut headers = HeaderMap::new();
        headers.insert(header::ACCEPT_LANGUAGE, "de".parse().expect("a header"));
        assert_eq!(Tongue::of_headers(&headers).language(), Language::German);
        headers.insert(header::COOKIE, "language=fr".parse().expect("a header"));
        assert_eq!(Tongue::of_headers(&headers).language(), Language::French);
        headers.insert(header::COOKIE, "language=tlh".parse().expect("a header"));
        assert_eq!(Tongue::of_headers(&headers).language(), Language::German);
    }
}
