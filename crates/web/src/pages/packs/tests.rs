//! Packs by browser: what comes in, what is refused with which words, and who may.

use axum::Router;
use axum::body::Body;
use axum::http::{Request, Response, StatusCode, header};
use domain::permission::Role;
use tower::ServiceExt as _;

use crate::state::AppState;
use crate::testing::{cookie, get, person, post, service, state, text};

const UNITS: &str = "unit,kind\nCOVE-2,wearing\nSTORE,store\n";
const PARTS: &str = "part_no,revision,name,kind\nHARNESS,A,Rescue harness,ITEM\n";
const LOTS: &str = "lot_no,part_no,revision,maker\nH-1,HARNESS,A,Oreval\n";

/// Somebody signed in.
pub(super) async fn signed_in(state: &AppState, service: &Router, name: &str, role: Role) -> String {
    person(state, name, role, "seven dry karabiners").await;
    cookie(&post(service, "/sign-in", "", &format!("name={name}&password=seven+dry+karabiners")).await)
}

/// Sends files as a browser's form does.
async fn send(service: &Router, cookie: &str, files: &[(&str, &[u8])]) -> Response<Body> {
    let mut body = Vec::new();
    for (name, bytes) in files {
        body.extend_from_slice(
            format!("--seam\r\nContent-Disposition: form-data; name=\"pack\"; filename=\"{name}\"\r\n\r\n")
                .as_bytes(),
        );
        body.extend_from_slice(bytes);
        body.extend_from_slice(b"\r\n");
    }
    body.extend_from_slice(b"--seam--\r\n");
    let request = Request::post("/packs")
        .header(header::COOKIE, cookie)
        .header(header::CONTENT_TYPE, "multipart/form-data; boundary=seam")
        .body(Body::from(body))
        .unwrap();
    service.clone().oneshot(request).await.unwrap()
}

/// The address a response leads to.
fn leads_to(response: &Response<Body>) -> String {
    assert_eq!(response.status(), StatusCode::SEE_OTHER);
    response.headers()[header::LOCATION].to_str().unwrap().to_owned()
}

/// The page of a pack whose import has ended.
async fn ended(service: &Router, cookie: &str, address: &str) -> String {
    loop {
        let page = text(get(service, address, cookie).await).await;
        if !page.contains("data-progress") {
            return page;
        }
        tokio::task::yield_now().await;
    }
}

#[tokio::test]
async fn a_pack_is_sent_shown_and_taken_in_only_then() {
    let state = state().await;
    let service = service(&state);
    let sid = signed_in(&state, &service, "fell", Role::Engineer).await;
    let files = [("units.csv", UNITS), ("parts.csv", PARTS), ("lots.csv", LOTS)];
    let address = leads_to(&send(&service, &sid, &files.map(|(name, text)| (name, text.as_bytes()))).await);

    let page = text(get(&service, &address, &sid).await).await;
    assert!(page.contains("4 rows in 3 files: 4 good, 0 refused."), "{page}");
    assert!(page.contains("Take it all in") && !page.contains("What is refused"), "{page}");
    assert!(state.store().list_units().await.unwrap().is_empty());

    let taking = format!("{address}/take");
    assert_eq!(leads_to(&post(&service, &taking, &sid, "rows=all").await), address);
    let page = ended(&service, &sid, &address).await;
    assert!(page.contains("Taken in: 4 new rows in the books."), "{page}");
    assert_eq!(state.store().list_units().await.unwrap().len(), 2);
    // Taken twice is taken once.
    assert_eq!(leads_to(&post(&service, &taking, &sid, "rows=all").await), address);
    assert_eq!(state.store().list_imports().await.unwrap().len(), 1);
    let packs = text(get(&service, "/packs", &sid).await).await;
    assert!(packs.contains("FELL") && packs.contains("2 units"), "{packs}");
}
