//! `/report/{secret}/label` and `/report/label`: what a scanned label says, for the form that scanned it.

use axum::extract::{Path, Query, State};
use axum::routing::get;
use axum::{Json, Router};
use chrono::Datelike as _;
use domain::mark::{Mark, Reading, read};
use serde::{Deserialize, Serialize};

use super::door::Door;
use crate::error::AppError;
use crate::security::SignedIn;
use crate::state::AppState;
use crate::tongue::Tongue;

/// This file's addresses.
pub(super) fn routes() -> Router<AppState> {
    Router::new().route("/report/label", get(signed_in)).route("/report/{secret}/label", get(by_link))
}

#[derive(Deserialize)]
struct Asked {
    text: String,
}

/// What the form fills in, and a sentence to compare with the label.
#[derive(Debug, Default, Serialize)]
struct Told {
    lot: Option<String>,
    serial: Option<String>,
    maker: Option<String>,
    says: String,
}

async fn by_link(
    State(state): State<AppState>,
    Path(secret): Path<String>,
    tongue: Tongue,
    Query(asked): Query<Asked>,
) -> Result<Json<Told>, AppError> {
    Door::by_link(&state, &secret, tongue).await?;
    Ok(Json(told(tongue, &asked.text, state.today().year())))
}

async fn signed_in(
    State(state): State<AppState>,
    signed_in: SignedIn,
    tongue: Tongue,
    Query(asked): Query<Asked>,
) -> Result<Json<Told>, AppError> {
    Door::signed_in(&signed_in, tongue)?;
    Ok(Json(told(tongue, &asked.text, state.today().year())))
}

fn told(tongue: Tongue, text: &str, year: i32) -> Told {
    match read(text, year, Reading::Lenient) {
        Ok(mark) => {
            let says = sentence(tongue, &mark);
            Told { lot: mark.lot, serial: mark.serial, maker: mark.maker, says }
        }
        Err(why) => {
            Told { says: tongue.with("label-kept", &[("why", why.to_string().into())]), ..Told::default() }
        }
    }
}

fn sentence(tongue: Tongue, mark: &Mark) -> String {
    let named = [
        ("label-lot", &mark.lot),
        ("label-serial", &mark.serial),
        ("label-maker", &mark.maker),
        ("label-part", &mark.part_no),
        ("label-trade-item", &mark.trade_item),
    ];
    let parts: Vec<String> = named
        .iter()
        .filter_map(|(word, value)| value.as_ref().map(|value| format!("{} {value}", tongue.say(word))))
        .collect();
    let read = if parts.is_empty() {
        tongue.say("label-says-nothing")
    } else {
        tongue.with("label-says", &[("what", parts.join(", ").into())])
    };
    [&[read], mark.warnings.as_slice()].concat().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_label_is_told_in_a_sentence_to_compare() {
        let told = told(Tongue::ENGLISH, "]d201006141411234521124031510LOT7A\u{1d}21SN00042", 2026);
        assert_eq!(told.lot.as_deref(), Some("LOT7A"));
        assert_eq!(told.says, "The label says: lot LOT7A, serial SN00042, trade item 00614141123452.");
    }

    #[test]
    fn a_misread_label_fills_nothing_and_says_why() {
        let told = told(Tongue::ENGLISH, "]d20100614141123453", 2026);
        assert_eq!(told.lot, None);
        assert!(told.says.contains("should be 2"), "{}", told.says);
    }
}
