//! `/preferences`: takes a reader's choice and leads back to where it was made.

use axum::Router;
use axum::extract::Form;
use axum::response::{IntoResponse as _, Redirect, Response};
use axum::routing::post;
use axum_extra::extract::CookieJar;
use serde::Deserialize;

use crate::error::AppError;
use crate::pages::sign_in::own_path;
use crate::preferences::Preferences;
use crate::state::AppState;

/// This file's addresses.
pub fn routes() -> Router<AppState> {
    Router::new().route("/preferences", post(choose))
}

#[derive(Deserialize)]
struct Choice {
    mass_unit: String,
    #[serde(default)]
    back: String,
}

async fn choose(jar: CookieJar, Form(choice): Form<Choice>) -> Result<Response, AppError> {
    let mass_unit = choice
        .mass_unit
        .parse()
        .map_err(|_| AppError::Unusable("Masses are shown in g or in oz. Nothing was changed.".to_owned()))?;
    let jar = Preferences { mass_unit }.keep(jar);
    Ok((jar, Redirect::to(own_path(&choice.back))).into_response())
}

#[cfg(test)]
mod tests {
    use axum::http::{StatusCode, header};

    use crate::testing::{cookie, post, service, state};

    #[tokio::test]
    async fn a_choice_is_kept_and_leads_back_to_our_own_page() {
        let service = service(&state().await);
        let chosen = post(&service, "/preferences", "", "mass_unit=oz&back=%2Fchanges").await;
        assert_eq!(chosen.status(), StatusCode::SEE_OTHER);
        assert_eq!(chosen.headers()[header::LOCATION], "/changes");
        assert_eq!(cookie(&chosen), "mass_unit=oz");
        let strange = post(&service, "/preferences", "", "mass_unit=stone").await;
        assert_eq!(strange.status(), StatusCode::UNPROCESSABLE_ENTITY);
    }
}
