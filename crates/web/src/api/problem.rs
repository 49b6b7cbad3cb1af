//! Everything that goes wrong under `/api`, in one shape: problem details of RFC 9457 with the fields concerned.

use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use domain::permission::Refusal;
use serde::Serialize;
use store::StoreError;
use utoipa::ToSchema;

use crate::error::AppError;

/// The media type of a problem.
pub const MEDIA_TYPE: &str = "application/problem+json";

/// What went wrong.
#[derive(Serialize, ToSchema)]
pub struct Problem {
    /// Always `about:blank`: the status says which kind of problem it is.
    #[serde(rename = "type")]
    #[schema(examples("about:blank"))]
    kind: &'static str,
    /// The status in words.
    #[schema(examples("Unprocessable Entity"))]
    title: &'static str,
    /// The HTTP status.
    #[schema(minimum = 400, maximum = 599, examples(422))]
    status: u16,
    /// What is wrong and what was kept, in a sentence or two.
    detail: String,
    /// The number of the request in the log.
    request: String,
    /// What is wrong with single fields or parameters; empty where no field is to blame.
    problems: Vec<FieldProblem>,
}

/// What is wrong with one field or parameter.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct FieldProblem {
    /// Its name.
    #[schema(examples("found_on"))]
    pub field: String,
    /// How to mend it.
    #[schema(examples("This date is in the future."))]
    pub says: String,
}

impl FieldProblem {
    /// A problem of one field.
    pub fn new(field: impl Into<String>, says: impl Into<String>) -> Self {
        Self { field: field.into(), says: says.into() }
    }
}

/// What a handler of the API ends with besides its answer.
#[derive(Debug)]
pub enum ApiError {
    /// As on a page.
    Told(AppError),
    /// Fields that can't be used.
    Fields(Vec<FieldProblem>),
    /// A status that says it all.
    Bare(StatusCode),
}

impl ApiError {
    /// One field that can't be used.
    pub fn field(field: impl Into<String>, says: impl Into<String>) -> Self {
        Self::Fields(vec![FieldProblem::new(field, says)])
    }
}

impl From<AppError> for ApiError {
    fn from(error: AppError) -> Self {
        Self::Told(error)
    }
}

impl From<Refusal> for ApiError {
    fn from(refusal: Refusal) -> Self {
        Self::Told(refusal.into())
    }
}

impl From<StoreError> for ApiError {
    fn from(error: StoreError) -> Self {
        match error {
            StoreError::Refused(problem) => Self::field(problem.field, problem.why),
            error => Self::Told(error.into()),
        }
    }
}

/// The fields concerned, until [`response`] writes them down.
#[derive(Clone)]
struct Fields(Vec<FieldProblem>);

impl IntoResponse for ApiError {
    fn into_response(self) -> Response {
        match self {
            Self::Told(error) => error.into_response(),
            Self::Bare(status) => status.into_response(),
            Self::Fields(fields) => {
                let says = "Some fields can't be used; nothing was kept.".to_owned();
                let mut response = AppError::Unusable(says).into_response();
                response.extensions_mut().insert(Fields(fields));
                response
            }
        }
    }
}

/// The problem that a bare response stands for.
pub fn response(bare: &Response, sentence: String, request: String) -> Response {
    let status = bare.status();
    let fields = bare.extensions().get::<Fields>().map(|fields| fields.0.clone());
    let detail = match status {
        StatusCode::UNAUTHORIZED => {
            "Send a key that an administrator has made for you: `Authorization: Bearer <key>`.".to_owned()
        }
        StatusCode::NOT_FOUND if sentence == "There is no such page." => {
            "There is no such address.".to_owned()
        }
        _ => sentence,
    };
    let problem = Problem {
        kind: "about:blank",
        title: status.canonical_reason().unwrap_or("Problem"),
        status: status.as_u16(),
        detail,
        request,
        problems: fields.unwrap_or_default(),
    };
    let mut response = (status, axum::Json(problem)).into_response();
    let headers = response.headers_mut();
    headers.insert(header::CONTENT_TYPE, HeaderValue::from_static(MEDIA_TYPE));
    if status == StatusCode::UNAUTHORIZED {
        headers.insert(header::WWW_AUTHENTICATE, HeaderValue::from_static("Bearer"));
    }
    response
}
