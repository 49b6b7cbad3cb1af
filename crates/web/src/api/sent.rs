//! Reads a JSON body, and says which field is not of its kind.

use axum::Json;
use axum::extract::rejection::JsonRejection;
use axum::extract::{FromRequest, Request};
use axum::response::IntoResponse as _;
use serde::de::DeserializeOwned;

use super::problem::{ApiError, FieldProblem};
use crate::format;
use crate::state::AppState;

/// What a body has to be; reports are the only ones that are sent as JSON.
const WHOLE: &str = "Expected an object with the fields of a report.";

/// What was sent.
pub(super) struct Sent<T>(pub(super) T);

impl<T: DeserializeOwned> FromRequest<AppState> for Sent<T> {
    type Rejection = ApiError;

    async fn from_request(request: Request, state: &AppState) -> Result<Self, ApiError> {
        match Json::<T>::from_request(request, state).await {
            Ok(Json(sent)) => Ok(Self(sent)),
            Err(JsonRejection::JsonDataError(error)) => {
                Err(ApiError::Fields(vec![of_field(&error.body_text())]))
            }
            Err(other) => Err(ApiError::Bare(other.into_response().status())),
        }
    }
}

/// The library says `...: field: what is wrong at line 1 column 2`, or leaves the field out where it is the whole.
fn of_field(said: &str) -> FieldProblem {
    let what = said.split_once("target type: ").map_or(said, |(_, rest)| rest);
    let what = what.rsplit_once(" at line ").map_or(what, |(what, _)| what);
    match what.split_once(": ") {
        // A list can be read as an object's fields in their order, which no document promises.
        Some((field, _)) if field.starts_with('[') => FieldProblem::new("body", WHOLE),
        Some((field, says)) if !field.contains(' ') => FieldProblem::new(field, in_words(says)),
        _ => FieldProblem::new(named(what).unwrap_or("body"), in_words(what)),
    }
}

/// The field that is named in the library's words alone: it stands twice, or nowhere.
fn named(what: &str) -> Option<&str> {
    let rest = what.strip_prefix("duplicate field `").or_else(|| what.strip_prefix("missing field `"))?;
    rest.strip_suffix('`')
}

/// What the library says of a value, in words of who sends it: they know JSON, and nothing of this program's types.
fn in_words(says: &str) -> String {
    let Some((found, kind)) = says.rsplit_once(", expected ") else {
        return match says.split_once(' ') {
            Some(("duplicate", _)) => "This field stands there twice.".to_owned(),
            Some(("missing", _)) => "This field is missing.".to_owned(),
            _ => format::sentence(says),
        };
    };
    if found.starts_with("unknown field ") {
        return format!("There is no such field; expected {kind}.");
    }
    let kind = match kind {
        "u8" | "u16" | "u32" | "u64" | "usize" => "a whole number, 0 or more",
        "i8" | "i16" | "i32" | "i64" | "isize" => "a whole number",
        "f32" | "f64" => "a number",
        "a string" => "a text",
        "a boolean" => "true or false",
        "a sequence" => "a list",
        "a map" => "an object",
        kind if kind.starts_with("struct ") => return WHOLE.to_owned(),
        kind => kind,
    };
    format!("Expected {kind}.")
}

#[cfg(test)]
mod tests {
    use super::super::reports::new_report::NewReport;
    use super::*;

    /// What is said of a body that is JSON and no report: the field, and how to mend it.
    fn told(body: &str) -> (String, String) {
        match Json::<NewReport>::from_bytes(body.as_bytes()) {
            Err(JsonRejection::JsonDataError(error)) => {
                let FieldProblem { field, says } = of_field(&error.body_text());
                (field, says)
            }
            other => panic!("{body}: {other:?}"),
        }
    }

    #[test]
    fn what_is_of_the_wrong_kind_is_said_in_words_of_json_beside_its_field() {
        for (body, field, says) in [
            (r#"{"quantity":"two"}"#, "quantity", "Expected a number."),
            (r#"{"quantity":1.5}"#, "quantity", "Expected a whole number, 0 or more."),
            (r#"{"quantity":-1}"#, "quantity", "Expected a whole number, 0 or more."),
            (r#"{"worn_weeks":"a: b, expected f64 at line 9"}"#, "worn_weeks", "Expected a number."),
            (r#"{"narrative":7}"#, "narrative", "Expected a text."),
            (r#"{"unit":{}}"#, "unit", "Expected a text."),
            (r#"{"unit":"COVE-2","unit":"RIDGE-1"}"#, "unit", "This field stands there twice."),
            ("[]", "body", WHOLE),
            ("[1]", "body", WHOLE),
            ("null", "body", WHOLE),
            (r#""a report""#, "body", WHOLE),
        ] {
            assert_eq!(told(body), (field.to_owned(), says.to_owned()), "{body}");
        }
        let (field, says) = told(r#"{"relevant":true}"#);
        assert_eq!(field, "relevant");
        assert!(says.starts_with("There is no such field; expected one of `client_key`, `unit`,"), "{says}");
    }

    #[test]
    fn no_word_of_the_program_itself_is_left_of_the_common_kinds() {
        for (kind, words) in [
            ("u64", "a whole number, 0 or more"),
            ("i32", "a whole number"),
            ("f64", "a number"),
            ("a string", "a text"),
            ("a boolean", "true or false"),
            ("a sequence", "a list"),
            ("a map", "an object"),
        ] {
            let says = in_words(&format!("invalid type: null, expected {kind}"));
            assert_eq!(says, format!("Expected {words}."));
        }
        assert_eq!(in_words("missing field `unit`"), "This field is missing.");
    }
}
