//! The doors, tried through the whole service.

use axum::body::Body;
use axum::http::{Request, StatusCode, header};
use domain::permission::{Actor, Role};
use tower::ServiceExt as _;

use crate::clock::Clock;
use crate::state::AppState;
use crate::testing::{cookie, get, noon, person, post, service, state, text};

const PASSWORD: &str = "seven dry karabiners";
const RIGHT: &str = "name=fell&password=seven+dry+karabiners&back=%2Fhealthz";

#[tokio::test]
async fn the_right_password_opens_and_signing_out_shuts() {
    let state = state().await;
    person(&state, "fell", Role::Engineer, PASSWORD).await;
    let service = service(&state);

    let shut = get(&service, "/", "").await;
    assert_eq!(shut.status(), StatusCode::SEE_OTHER);
    assert_eq!(shut.headers()[header::LOCATION], "/sign-in");

    let opened = post(&service, "/sign-in", "", RIGHT).await;
    assert_eq!(opened.status(), StatusCode::SEE_OTHER);
    assert_eq!(opened.headers()[header::LOCATION], "/healthz");
    let set = opened.headers()[header::SET_COOKIE].to_str().unwrap();
    assert!(set.contains("HttpOnly") && set.contains("SameSite=Lax"), "{set}");
    let sid = cookie(&opened);

    let desk = get(&service, "/", &sid).await;
    assert_eq!(desk.status(), StatusCode::OK);
    assert!(text(desk).await.contains("FELL, engineer"));

    post(&service, "/sign-out", &sid, "").await;
    assert_eq!(get(&service, "/", &sid).await.status(), StatusCode::SEE_OTHER);
}

#[tokio::test]
async fn a_session_that_is_used_goes_on_and_one_that_lies_ends() {
    let state = state().await;
    person(&state, "fell", Role::Engineer, PASSWORD).await;
    let sid = cookie(&post(&service(&state), "/sign-in", "", RIGHT).await);
    let after = async |hours| {
        let clock = Clock::standing_at(noon() + chrono::Duration::hours(hours));
        let later = AppState::with_clock(state.config().clone(), clock).await.unwrap();
        get(&service(&later), "/api", &sid).await.status()
    };
    for hours in [10, 20, 31] {
        assert_eq!(after(hours).await, StatusCode::OK, "{hours} hours");
    }
    assert_eq!(after(44).await, StatusCode::SEE_OTHER, "12 hours after its last use it has ended");
}

#[tokio::test]
async fn a_wrong_password_keeps_the_name_and_says_so_as_for_an_unknown_name() {
    let state = state().await;
    person(&state, "fell", Role::Engineer, PASSWORD).await;
    let service = service(&state);
    let wrong = post(&service, "/sign-in", "", "name=fell&password=guess").await;
    assert_eq!(wrong.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let wrong = text(wrong).await;
    assert!(wrong.contains(r#"value="fell""#) && !wrong.contains("guess"));
    let unknown = text(post(&service, "/sign-in", "", "name=fell2&password=guess").await).await;
    assert_eq!(wrong, unknown.replace("fell2", "fell"));
}

#[tokio::test]
async fn a_sign_in_link_works_once_and_looking_does_not_use_it() {
    let state = state().await;
    let id = person(&state, "fell", Role::Engineer, PASSWORD).await;
    let token = state.secrets().token();
    let until = noon() + chrono::Duration::hours(1);
    state.store().add_sign_in_link(&Actor::Program, noon(), &token.digest(), id, until).await.unwrap();
    let service = service(&state);
    let address = format!("/sign-in/link/{}", token.as_str());
    for _ in 0..2 {
        assert_eq!(get(&service, &address, "").await.status(), StatusCode::OK);
    }
    assert_eq!(post(&service, &address, "", "").await.status(), StatusCode::SEE_OTHER);
    assert_eq!(post(&service, &address, "", "").await.status(), StatusCode::NOT_FOUND);
    assert_eq!(get(&service, &address, "").await.status(), StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn a_form_sent_from_another_site_is_turned_away_with_a_page() {
    let service = service(&state().await);
    let request = Request::post("/sign-in")
        .header(header::HOST, "rescue.example")
        .header(header::ORIGIN, "https://elsewhere.example")
        .header("sec-fetch-site", "cross-site")
        .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
        .body(Body::from(RIGHT))
        .unwrap();
    let response = service.oneshot(request).await.unwrap();
    assert_eq!(response.status(), StatusCode::FORBIDDEN);
    assert!(text(response).await.contains("another site"));
}

#[tokio::test]
async fn the_eleventh_try_in_a_row_is_told_to_wait() {
    let service = service(&state().await);
    for _ in 0..10 {
        assert_eq!(post(&service, "/sign-out", "", "").await.status(), StatusCode::SEE_OTHER);
    }
    let refused = post(&service, "/sign-in", "", RIGHT).await;
    assert_eq!(refused.status(), StatusCode::TOO_MANY_REQUESTS);
    assert!(text(refused).await.contains("Wait a minute"));
    assert_eq!(get(&service, "/sign-in", "").await.status(), StatusCode::OK);
}

#[tokio::test]
async fn whatever_the_field_sends_is_paced() {
    let state = state().await;
    // The pages alone, which answer quickly: nothing dresses what they refuse.
    let pages = crate::pages::routes(&state).with_state(state);
    for address in ["/unit/x/instructions/I-2026-001", "/unit/x/R-1/question/1", "/follow/x/question/1"] {
        // A slow machine gets some tries back while it sends.
        let mut sent = 0;
        while post(&pages, address, "", "").await.status() != StatusCode::TOO_MANY_REQUESTS {
            sent += 1;
            assert!(sent < 500, "{address}");
        }
        assert!(sent >= 60, "{address}: {sent}");
        assert_ne!(get(&pages, address, "").await.status(), StatusCode::TOO_MANY_REQUESTS, "{address}");
    }
}

#[tokio::test]
async fn every_page_says_what_it_may_do_and_is_not_kept() {
    let service = service(&state().await);
    for path in ["/sign-in", "/no/such/page", "/healthz"] {
        let response = get(&service, path, "").await;
        let policy = response.headers()[header::CONTENT_SECURITY_POLICY].to_str().unwrap();
        assert!(policy.starts_with("default-src 'none'") && !policy.contains("unsafe"), "{policy}");
        assert_eq!(response.headers()[header::X_CONTENT_TYPE_OPTIONS], "nosniff");
        assert_eq!(response.headers()[header::CACHE_CONTROL], "no-store");
    }
}

#[tokio::test]
async fn what_is_not_there_is_said_in_html_and_under_api_in_json() {
    let service = service(&state().await);
    let page = get(&service, "/no/such/page", "").await;
    assert_eq!(page.status(), StatusCode::NOT_FOUND);
    assert!(text(page).await.contains("There is no such page."));
    let api = get(&service, "/api/no/such", "").await;
    assert_eq!(api.headers()[header::CONTENT_TYPE], "application/problem+json");
    assert!(text(api).await.contains(r#""detail":"There is no such address.""#));
}

#[tokio::test]
async fn a_form_too_large_is_refused_with_a_page() {
    let service = service(&state().await);
    let response = post(&service, "/sign-in", "", &"x".repeat(300 * 1024)).await;
    assert_eq!(response.status(), StatusCode::PAYLOAD_TOO_LARGE);
    assert!(text(response).await.contains("too large"));
}

#[tokio::test]
async fn a_name_tried_too_often_waits_whoever_has_it_and_from_wherever() {
    let state = state().await;
    person(&state, "fell", Role::Engineer, PASSWORD).await;
    person(&state, "skerry", Role::Board, PASSWORD).await;
    let mut told = Vec::new();
    for name in ["fell", "nobody"] {
        // Each service counts addresses anew, as if the tries came from another one.
        for _ in 0..5 {
            let form = format!("name={name}&password=guess");
            let wrong = post(&service(&state), "/sign-in", "", &form).await;
            assert_eq!(wrong.status(), StatusCode::UNPROCESSABLE_ENTITY);
        }
        let form = RIGHT.replace("fell", name);
        let waits = post(&service(&state), "/sign-in", "", &form).await;
        assert_eq!(waits.status(), StatusCode::TOO_MANY_REQUESTS);
        assert_eq!(waits.headers()[header::RETRY_AFTER], "60");
        assert!(waits.headers().get(header::SET_COOKIE).is_none());
        told.push(text(waits).await.replace(name, "NAME"));
    }
    assert!(told[0].contains("Wait 1 minute, then try again"), "{}", told[0]);
    assert_eq!(told[0], told[1], "nothing tells whether anybody has the name");
    let other = post(&service(&state), "/sign-in", "", &RIGHT.replace("fell", "skerry")).await;
    assert_eq!(other.status(), StatusCode::SEE_OTHER);
}
