//! The API through the whole service: keys, figures, problems and the document.

mod reports;
mod schema;

use axum::Router;
use axum::body::Body;
use axum::http::{Request, StatusCode, header};
use axum::response::Response;
use domain::permission::{Actor, Role};
use domain::unit::{Unit, UnitKind};
use serde_json::Value;
use store::NewApiKey;
use tower::ServiceExt as _;

use crate::state::AppState;
use crate::testing::books::bring_in;
use crate::testing::{noon, service, state, text};

fn unit() -> Unit {
    Unit {
        unit: "COVE-2".into(),
        name: None,
        kind: UnitKind::Wearing,
        parent_unit: None,
        contact_email: None,
    }
}

/// A key of a role, as its holder sends it.
pub(super) async fn key(state: &AppState, role: Role, unit: Option<&str>) -> String {
    let token = state.secrets().token();
    let key =
        NewApiKey { token_hash: token.digest(), label: "test".into(), role, unit: unit.map(Into::into) };
    state.store().add_api_key(&Actor::Program, noon(), &key).await.unwrap();
    token.as_str().to_owned()
}

/// A request with a key; without a body it is a GET, else a POST of JSON.
pub(super) async fn ask(service: &Router, path: &str, key: &str, body: Option<Value>) -> Response {
    let request = Request::builder().uri(path).header(header::AUTHORIZATION, format!("Bearer {key}"));
    let request = match body {
        None => request.body(Body::empty()),
        Some(json) => request
            .method("POST")
            .header(header::CONTENT_TYPE, "application/json")
            .body(Body::from(json.to_string())),
    };
    service.clone().oneshot(request.unwrap()).await.unwrap()
}

/// An answer read as JSON.
pub(super) async fn json(response: Response) -> Value {
    serde_json::from_str(&text(response).await).unwrap()
}

#[tokio::test]
async fn a_key_opens_until_it_is_revoked_and_no_further_than_its_role() {
    let state = state().await;
    let service = service(&state);
    let none = ask(&service, "/api/v1/analysis", "", None).await;
    assert_eq!(none.status(), StatusCode::UNAUTHORIZED);
    assert_eq!(none.headers()[header::WWW_AUTHENTICATE], "Bearer");
    assert_eq!(none.headers()[header::CONTENT_TYPE], "application/problem+json");

    let board = key(&state, Role::Board, None).await;
    let answer = ask(&service, "/api/v1/analysis", &board, None).await;
    assert_eq!(answer.status(), StatusCode::OK);
    assert_eq!(json(answer).await["as_of"], "2026-03-03");

    let kept = state.store().list_api_keys().await.unwrap();
    state.store().revoke_api_key(&Actor::Program, noon(), &kept[0].token_hash).await.unwrap();
    let revoked = ask(&service, "/api/v1/analysis", &board, None).await;
    assert_eq!(revoked.status(), StatusCode::UNAUTHORIZED);
}

#[tokio::test]
async fn a_units_key_reads_no_figures_and_a_problem_names_its_field() {
    let state = state().await;
    let service = service(&state);
    state.store().add_unit(&Actor::Program, noon(), &unit()).await.unwrap();
    let unit = key(&state, Role::UnitReporter, Some("COVE-2")).await;
    let refused = ask(&service, "/api/v1/recurrences", &unit, None).await;
    assert_eq!(refused.status(), StatusCode::FORBIDDEN);
    let engineer = key(&state, Role::Engineer, None).await;
    let wrong = ask(&service, "/api/v1/recurrences?limit=many", &engineer, None).await;
    assert_eq!(wrong.status(), StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(json(wrong).await["problems"][0]["field"], "limit");
    let nothing = ask(&service, "/api/v1/recurrences/RC-1/ZIP-1", &engineer, None).await;
    assert_eq!(nothing.status(), StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn a_date_that_is_none_is_named_as_one_to_come_is() {
    let state = state().await;
    bring_in(&state).await;
    let service = service(&state);
    let engineer = key(&state, Role::Engineer, None).await;
    let holders =
        async |on: &str| ask(&service, &format!("/api/v1/lots/TB-0418/holders{on}"), &engineer, None).await;
    for (on, says) in [
        ("?on=bogus", "Expected a date such as 2026-03-09, not after today."),
        ("?on=", "Expected a date such as 2026-03-09, not after today."),
        ("?on=2026-02-30", "Expected a date such as 2026-03-09, not after today."),
        ("?on=2099-01-01", "The date is after today."),
    ] {
        let wrong = holders(on).await;
        assert_eq!(wrong.status(), StatusCode::UNPROCESSABLE_ENTITY, "{on}");
        let problem = json(wrong).await;
        assert_eq!(problem["problems"], serde_json::json!([{ "field": "on", "says": says }]), "{on}");
    }
    assert_eq!(json(holders("?on=2026-03-01").await).await["on"], "2026-03-01");
    assert_eq!(json(holders("").await).await["on"], "2026-03-03");
}

#[tokio::test]
async fn the_document_lists_every_route_and_every_route_wants_a_key() {
    let sources = include_str!("../mod.rs");
    assert!(!sources.contains(".route("), "a route beside the table is in no document");
    let service = service(&state().await);
    let document = json(ask(&service, "/api/v1/openapi.json", "", None).await).await;
    assert_eq!(document["openapi"], "3.1.0");
    let paths = document["paths"].as_object().unwrap();
    assert_eq!(
        paths.values().map(|path| path.as_object().unwrap().len()).sum::<usize>(),
        sources.matches(".routes(routes!(").count()
    );
    for (path, operations) in paths {
        assert!(path.starts_with("/api/v1/"), "{path}");
        for method in operations.as_object().unwrap().keys() {
            let request =
                Request::builder().method(method.to_uppercase().as_str()).uri(path.replace(['{', '}'], ""));
            let answer = service.clone().oneshot(request.body(Body::empty()).unwrap()).await.unwrap();
            let open = path.ends_with("/openapi.json");
            let expected = if open { StatusCode::OK } else { StatusCode::UNAUTHORIZED };
            assert_eq!(answer.status(), expected, "{method} {path}");
        }
    }
}

#[tokio::test]
async fn the_document_says_of_each_route_whether_figures_may_be_awaited() {
    let state = state().await;
    let service = service(&state);
    let board = key(&state, Role::Board, None).await;
    let document = json(ask(&service, "/api/v1/openapi.json", "", None).await).await;
    let reading = state.hold_the_books().await;
    let mut asked = Vec::new();
    for (path, operations) in document["paths"].as_object().unwrap() {
        let Some(operation) = operations.get("get") else { continue };
        let told = operation["responses"].get("503").is_some();
        let (service, board, path) = (service.clone(), board.clone(), path.replace(['{', '}'], ""));
        asked.push((told, tokio::spawn(async move { (ask(&service, &path, &board, None).await, path) })));
    }
    let mut awaited = 0;
    for (told, asked) in asked {
        let (answer, path) = asked.await.unwrap();
        assert_eq!(answer.status() == StatusCode::SERVICE_UNAVAILABLE, told, "{path}: {}", answer.status());
        assert_eq!(answer.headers().contains_key(header::RETRY_AFTER), told, "{path}");
        awaited += usize::from(told);
    }
    assert!(awaited > 5, "{awaited}");
    drop(reading);
}

/// The schema of a body: of a request's or an answer's.
fn schema_of(body: &Value) -> Option<(&Value, Option<&Value>)> {
    let content = body["content"].as_object()?;
    content.values().find_map(|media| Some((media.get("schema")?, media.get("example"))))
}

#[tokio::test]
async fn every_sample_of_the_document_fits_its_schema_and_every_route_has_one() {
    let service = service(&state().await);
    let document = json(ask(&service, "/api/v1/openapi.json", "", None).await).await;
    let mut samples = 0;
    for (path, operations) in document["paths"].as_object().unwrap() {
        for (method, operation) in operations.as_object().unwrap() {
            assert!(operation["summary"].is_string(), "{method} {path} says nothing");
            let answers = operation["responses"].as_object().unwrap();
            let mut has_sample = path.ends_with("/openapi.json");
            for body in answers.values().chain(operation.get("requestBody")) {
                let Some((schema, Some(sample))) = schema_of(body) else { continue };
                let faults = schema::faults(&document, schema, sample);
                assert!(faults.is_empty(), "{method} {path}: {faults:#?}");
                samples += 1;
                has_sample = true;
            }
            assert!(has_sample, "{method} {path} shows no sample");
            for status in answers.keys().filter(|status| *status >= &"400".to_owned()) {
                let media = answers[status]["content"].as_object().unwrap();
                assert_eq!(media.keys().collect::<Vec<_>>(), ["application/problem+json"], "{method} {path}");
            }
        }
    }
    assert!(samples >= 10, "{samples} samples are too few to believe");
    for (name, schema) in document["components"]["schemas"].as_object().unwrap() {
        for (field, of) in schema["properties"].as_object().into_iter().flatten() {
            // What may be null refers to its schema beside the null, and is described there.
            let described =
                of["oneOf"].as_array().and_then(|all| all.iter().find(|one| one.get("$ref").is_some()));
            assert!(described.unwrap_or(of)["description"].is_string(), "{name}.{field} has no description");
        }
    }
}

#[tokio::test]
async fn a_real_answer_and_a_real_problem_fit_the_document() {
    let state = state().await;
    let service = service(&state);
    let document = json(ask(&service, "/api/v1/openapi.json", "", None).await).await;
    let engineer = key(&state, Role::Engineer, None).await;
    for (path, name) in [
        ("analysis", "Analysis"),
        ("recurrences", "Recurrences"),
        ("changes", "Changes"),
        ("status", "Status"),
        ("lots/TB-1", "Problem"),
        ("changes?after=2026-001", "Problem"),
    ] {
        let answer = json(ask(&service, &format!("/api/v1/{path}"), &engineer, None).await).await;
        let schema = serde_json::json!({ "$ref": format!("#/components/schemas/{name}") });
        let faults = schema::faults(&document, &schema, &answer);
        assert!(faults.is_empty(), "{path}: {faults:#?}");
    }
}
