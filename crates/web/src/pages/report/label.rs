//! `/report/{secret}/label` and `/report/label`: what a scanned label says, for the form that scanned it.

use axum::extract::{Path, Query, State};
use axum::routing::get;
use axum::{Json, Router};
use chrono::Datelike as _;
use domain::mark::{Mark, NotAMark, Reading, read};
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
            let says = tongue.with("label-kept", &[("why", reason(tongue, &why).into())]);
            Told { says, ..Told::default() }
        }
    }
}

/// Why a text can't be taken apart; what exactly is wrong with an envelope or in which list an element is wanting helps nobody
/// who holds the label.
fn reason(tongue: Tongue, why: &NotAMark) -> String {
    match why {
        NotAMark::PlainText => tongue.say("label-why-plain"),
        NotAMark::Envelope(_) => tongue.say("label-why-envelope"),
        NotAMark::CheckDigit { digits, found, expected } => {
            let filled = [
                ("digits", digits.as_str().into()),
                ("found", (*found).into()),
                ("expected", (*expected).into()),
            ];
            tongue.with("label-why-check-digit", &filled)
        }
        NotAMark::Element { element, .. } => {
            tongue.with("label-why-element", &[("element", element.as_str().into())])
        }
        NotAMark::TooLong => tongue.say("label-why-long"),
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
    // The warnings name elements of the standards, in English; who holds the label can do one thing about any of them.
    if mark.warnings.is_empty() { read } else { format!("{read} {}", tongue.say("label-compare")) }
}

#[cfg(test)]
mod tests {
    use domain::language::Language;

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
    #[test]
    fn whatever_a_label_holds_is_told_in_the_readers_tongue() {
        let too_long = "9".repeat(5_000);
        let texts = [
            "T-118",
            "[)>\u{1e}06",
            "]d20100614141123453",
            "]d2XX",
            too_long.as_str(),
            "[)>\u{1e}06\u{1d}1TLOT7\u{1d}16D2023",
        ];
        for text in texts {
            let english = told(Tongue::ENGLISH, text, 2026).says;
            assert!(english.contains("abel"), "{english}");
            for language in [Language::German, Language::French] {
                let says = told(Tongue::of(language), text, 2026).says;
                assert!([" the ", "The ", " is "].iter().all(|word| !says.contains(word)), "{says}");
            }
        }
        let damaged = told(Tongue::ENGLISH, texts[5], 2026);
        assert_eq!(damaged.lot.as_deref(), Some("LOT7"));
        assert!(damaged.says.ends_with("Please compare with the label."), "{}", damaged.says);
    }
}
