//! The OpenAPI document, made from the table of routes, so that it can't say something else than is served.

use std::sync::LazyLock;

use axum::extract::DefaultBodyLimit;
use axum::http::header::CONTENT_TYPE;
use axum::response::IntoResponse;
use utoipa::OpenApi;
use utoipa::openapi::content::ContentBuilder;
use utoipa::openapi::path::{Operation, Parameter};
use utoipa::openapi::response::ResponseBuilder;
use utoipa::openapi::schema::Schema;
use utoipa::openapi::security::{Http, HttpAuthScheme, SecurityRequirement, SecurityScheme};
use utoipa::openapi::{Ref, RefOr};
use utoipa_axum::router::OpenApiRouter;

use super::problem::{self, Problem};

/// What is asked for, where a field may be left out; everything else here is answered, with every field.
const ASKED: [&str; 1] = ["NewReport"];

/// The tag of what is answered from the picture of the field, which the program makes once after its start.
const FROM_THE_FIGURES: &str = "Results";
/// What of it the store alone answers.
const FROM_THE_STORE: [&str; 1] = ["status"];

#[derive(OpenApi)]
#[openapi(
    info(
        title = "Bartack",
        description = "Failure reports in, results out. Send `Authorization: Bearer <key>`; an administrator makes \
            keys. Dates are ISO 8601, moments are UTC, masses are in g, exposure is in item-years, rates are per 1,000 \
            item-years. Everything that goes wrong is answered as problem details of RFC 9457.",
    ),
    tags(
        (name = "Reports", description = "What units send in, and what became of it."),
        (name = "Results", description = "What the field tells."),
        (name = "About", description = "This document."),
    ),
    components(schemas(Problem)),
)]
struct Paper;

static DOCUMENT: LazyLock<String> = LazyLock::new(|| {
    let document = document();
    document.to_json().expect("a document of strings, numbers and maps is written as JSON")
});

/// This document
#[utoipa::path(get, path = "/openapi.json", tag = "About", operation_id = "document", security(()), responses(
    (status = 200, description = "The OpenAPI document.", body = Object, content_type = "application/json"),
))]
pub(super) async fn show() -> impl IntoResponse {
    ([(CONTENT_TYPE, "application/json")], DOCUMENT.as_str())
}

/// The document, with what holds for all routes added to each.
pub(super) fn document() -> utoipa::openapi::OpenApi {
    let (_, mut document) = OpenApiRouter::with_openapi(Paper::openapi())
        .nest(super::ROOT, super::table(DefaultBodyLimit::disable()))
        .split_for_parts();
    if let Some(components) = &mut document.components {
        let scheme = SecurityScheme::Http(Http::new(HttpAuthScheme::Bearer));
        components.add_security_scheme("key", scheme);
        for (name, schema) in &mut components.schemas {
            if let RefOr::T(Schema::Object(object)) = schema
                && !ASKED.contains(&name.as_str())
            {
                object.required = object.properties.keys().cloned().collect();
            }
        }
    }
    document.security = Some(vec![SecurityRequirement::new("key", [] as [&str; 0])]);
    for path in document.paths.paths.values_mut() {
        for (operation, sends) in [(&mut path.get, false), (&mut path.post, true)] {
            if let Some(operation) = operation {
                add_problems(operation, sends);
            }
        }
    }
    document
}

/// What any request with a key may be answered with.
fn add_problems(operation: &mut Operation, sends: bool) {
    if operation.security.is_some() {
        return;
    }
    let needs_figures = operation.tags.iter().flatten().any(|tag| tag == FROM_THE_FIGURES)
        && !operation.operation_id.as_deref().is_some_and(|id| FROM_THE_STORE.contains(&id));
    let mut answers = vec![
        ("401", "No key, or one that opens nothing."),
        ("403", "The key's role doesn't allow this."),
        ("500", "Something went wrong inside; the log has it under the request's number."),
    ];
    if sends {
        answers.push(("413", "What was sent is too large."));
        answers.push((
            "429",
            "Too many requests from this address; `Retry-After` says how many seconds to wait.",
        ));
    }
    if sends || operation.parameters.is_some() {
        answers.push(("400", "The request can't be read."));
        answers.push(("422", "Fields or parameters that can't be used; nothing was kept."));
    }
    let is_after = |parameter: &RefOr<Parameter>| matches!(parameter, RefOr::T(one) if one.name == "after");
    let is_list = operation.parameters.iter().flatten().any(is_after);
    if is_list {
        answers.push(("409", "What `after` names isn't in the list any more: begin again without it."));
    }
    if needs_figures {
        answers.push((
            "503",
            "The program has just started and has no figures yet; `Retry-After` says how many seconds to wait.",
        ));
    }
    for (status, says) in answers {
        let content = ContentBuilder::new().schema(Some(Ref::from_schema_name("Problem"))).build();
        let answer = ResponseBuilder::new().description(says).content(problem::MEDIA_TYPE, content).build();
        operation.responses.responses.entry(status.to_owned()).or_insert(RefOr::T(answer));
    }
}
