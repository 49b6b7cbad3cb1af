//! What a reader chose once about how pages speak to them, kept in a cookie of theirs.

use std::convert::Infallible;

use axum::extract::FromRequestParts;
use axum::http::request::Parts;
use axum_extra::extract::CookieJar;
use axum_extra::extract::cookie::{Cookie, SameSite};

use crate::format::MassUnit;

const MASS_UNIT: &str = "mass_unit";

/// What is chosen.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Preferences {
    /// What masses are shown in.
    pub mass_unit: MassUnit,
}

impl<S: Sync> FromRequestParts<S> for Preferences {
    type Rejection = Infallible;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Infallible> {
        let jar = CookieJar::from_headers(&parts.headers);
        let mass_unit = jar.get(MASS_UNIT).and_then(|cookie| cookie.value().parse().ok());
        Ok(Self { mass_unit: mass_unit.unwrap_or_default() })
    }
}

impl Preferences {
    /// Keeps the choice for a year.
    pub fn keep(self, jar: CookieJar) -> CookieJar {
        let cookie = Cookie::build((MASS_UNIT, self.mass_unit.word()))
            .path("/")
            .http_only(true)
            .same_site(SameSite::Lax)
            .permanent();
        jar.add(cookie)
    }
}
