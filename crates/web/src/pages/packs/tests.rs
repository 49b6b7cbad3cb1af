//! Packs by browser: what comes in, what is refused with which words, and who may.

use axum::Router;
use axum::body::Body;
use axum::http::{Request, Response, StatusCode, header};
use chrono::{DateTime, TimeDelta, Utc};
use domain::pack::Table;
use domain::permission::{Actor, Role};
use tower::ServiceExt as _;

use crate::clock::Clock;
use crate::pack::{Limits, PackSource, Stage};
use crate::state::AppState;
use crate::testing::{cookie, get, noon, person, post, service, small_books, state, text};

pub(super) const UNITS: &str = "unit,kind\nCOVE-2,wearing\nSTORE,store\n";
pub(super) const PARTS: &str = "part_no,revision,name,kind\nHARNESS,A,Rescue harness,ITEM\n";
pub(super) const LOTS: &str = "lot_no,part_no,revision,maker\nH-1,HARNESS,A,Oreval\n";

/// Somebody signed in.
pub(super) async fn signed_in(state: &AppState, service: &Router, name: &str, role: Role) -> String {
    person(state, name, role, "seven dry karabiners").await;
    cookie(&post(service, "/sign-in", "", &format!("name={name}&password=seven+dry+karabiners")).await)
}

/// Sends files as a browser's form does.
pub(super) async fn send(service: &Router, cookie: &str, files: &[(&str, &[u8])]) -> Response<Body> {
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
pub(super) fn leads_to(response: &Response<Body>) -> String {
    assert_eq!(response.status(), StatusCode::SEE_OTHER);
    response.headers()[header::LOCATION].to_str().unwrap().to_owned()
}

/// The page of a pack whose import has ended.
pub(super) async fn ended(service: &Router, cookie: &str, address: &str) -> String {
    loop {
        let page = text(get(service, address, cookie).await).await;
        if !page.contains("data-progress") {
            return page;
        }
        tokio::task::yield_now().await;
    }
}

/// The page that a sending is answered with, and its status.
pub(super) async fn answer(service: &Router, sid: &str, files: &[(&str, &[u8])]) -> (StatusCode, String) {
    let response = send(service, sid, files).await;
    let status = response.status();
    (status, plain(&text(response).await))
}

/// A page as it is read.
pub(super) fn plain(page: &str) -> String {
    page.replace("&#x60;", "`").replace("&quot;", "\"").replace("&#x27;", "'").replace("&#x3D;", "=")
}

/// Packs that lie in the folder of waiting ones.
pub(super) fn kept(state: &AppState) -> usize {
    std::fs::read_dir(state.config().storage.data_folder.join("packs")).map_or(0, Iterator::count)
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

#[tokio::test]
async fn whoever_comes_second_is_told_who_is_importing() {
    let state = state().await;
    let service = service(&state);
    let sid = signed_in(&state, &service, "fell", Role::Engineer).await;
    let address = leads_to(&send(&service, &sid, &[("units.csv", UNITS.as_bytes())]).await);
    let by = Actor::Person { id: 1, name: "Mika Holm".into(), role: Role::Administrator, unit: None };
    let first = state.store().begin_import(&by, state.now(), &[]).await.unwrap();
    let second = post(&service, &format!("{address}/take"), &sid, "rows=all").await;
    assert_eq!(second.status(), StatusCode::CONFLICT);
    let page = text(second).await;
    assert!(page.contains("Mika Holm has been taking a pack in since 3 Mar 2026, 12:00 UTC"), "{page}");
    assert!(text(get(&service, "/packs", &sid).await).await.contains("Mika Holm is taking a pack in"));
    first.abandon().await.unwrap();
    leads_to(&post(&service, &format!("{address}/take"), &sid, "rows=all").await);
    assert!(ended(&service, &sid, &address).await.contains("Taken in: 2 new rows"));
}

#[tokio::test]
async fn an_import_that_was_killed_is_said_to_have_left_nothing_and_can_be_taken_again() {
    let state = state().await;
    let service = service(&state);
    let sid = signed_in(&state, &service, "fell", Role::Engineer).await;
    let address = leads_to(&send(&service, &sid, &[("units.csv", UNITS.as_bytes())]).await);
    let id = address.trim_start_matches("/packs/");
    // As a killed program leaves things: the pack noted as being taken in, rows staged, nobody at it.
    let mut record = state.waiting().find(id).unwrap().unwrap();
    record.stage = Stage::importing(state.now());
    state.waiting().note(id, &record).unwrap();
    let by = Actor::Person { id: 1, name: "FELL".into(), role: Role::Engineer, unit: None };
    drop(state.store().begin_import(&by, state.now(), &[]).await.unwrap());
    state.waiting().sweep(state.now(), true).unwrap();

    let page = text(get(&service, &address, &sid).await).await;
    assert!(page.contains("stopped before its end") && page.contains("Take it all in"), "{page}");
    let packs = text(get(&service, "/packs", &sid).await).await;
    assert!(packs.contains("Nothing of them is in the books") && packs.contains("begun by FELL"), "{packs}");
    leads_to(&post(&service, &format!("{address}/take"), &sid, "rows=all").await);
    assert!(ended(&service, &sid, &address).await.contains("Taken in: 2 new rows"));
}

#[tokio::test]
async fn an_import_that_was_killed_after_it_was_published_is_said_to_be_in_the_books() {
    let state = state().await;
    let service = service(&state);
    let sid = signed_in(&state, &service, "fell", Role::Engineer).await;
    let address = leads_to(&send(&service, &sid, &[("units.csv", UNITS.as_bytes())]).await);
    leads_to(&post(&service, &format!("{address}/take"), &sid, "rows=all").await);
    ended(&service, &sid, &address).await;
    let id = address.trim_start_matches("/packs/");
    let mut record = state.waiting().find(id).unwrap().unwrap();
    record.stage = Stage::importing(state.now());
    state.waiting().note(id, &record).unwrap();
    let page = text(get(&service, &address, &sid).await).await;
    assert!(page.contains("Taken in: 2 new rows") && !page.contains("stopped before"), "{page}");
}

#[tokio::test]
async fn a_pack_is_its_senders_alone_until_they_forget_it_or_a_day_has_passed() {
    let state = state().await;
    let service = service(&state);
    let sid = signed_in(&state, &service, "fell", Role::Engineer).await;
    let other = signed_in(&state, &service, "rime", Role::Engineer).await;
    let address = leads_to(&send(&service, &sid, &[("units.csv", UNITS.as_bytes())]).await);
    for path in ["", "/refusals.csv", "/left-out.csv", "/progress"] {
        let status = get(&service, &format!("{address}{path}"), &other).await.status();
        assert_eq!(status, StatusCode::NOT_FOUND, "{path}");
    }
    for path in ["/take", "/check", "/forget"] {
        let status = post(&service, &format!("{address}{path}"), &other, "rows=all").await.status();
        assert_eq!(status, StatusCode::NOT_FOUND, "{path}");
    }
    assert_eq!(get(&service, "/packs/..%2f..", &sid).await.status(), StatusCode::NOT_FOUND);
    assert_eq!(leads_to(&post(&service, &format!("{address}/check"), &sid, "").await), address);
    assert_eq!(leads_to(&post(&service, &format!("{address}/forget"), &sid, "").await), "/packs");
    assert_eq!(kept(&state), 0);

    for _ in 0..5 {
        leads_to(&send(&service, &sid, &[("units.csv", UNITS.as_bytes())]).await);
    }
    let (_, page) = answer(&service, &sid, &[("units.csv", UNITS.as_bytes())]).await;
    assert!(page.contains("You have 5 packs waiting below, so this one wasn't kept."), "{page}");
    state.waiting().sweep(state.now() + chrono::TimeDelta::hours(23), false).unwrap();
    assert_eq!(kept(&state), 5);
    state.waiting().sweep(state.now() + chrono::TimeDelta::hours(25), false).unwrap();
    assert_eq!(kept(&state), 0);
}

#[tokio::test]
async fn what_a_server_is_writing_stays_until_nothing_was_written_of_it_for_a_day() {
    let state = state().await;
    let arriving = state.waiting().begin(&state.secrets().token()).unwrap();
    let path = arriving.files().join("units.csv");
    std::fs::write(&path, UNITS).unwrap();
    let going_out = state.waiting().scratch().unwrap();
    // As `bartack link` and `bartack mailbox` open the same folder beside a running server.
    let beside = AppState::with_clock(state.config().clone(), Clock::standing_at(noon())).await.unwrap();
    assert!(path.exists() && going_out.path().exists());

    // The upload goes on for ten hours, by the file's own times.
    let began: DateTime<Utc> = std::fs::metadata(&path).unwrap().modified().unwrap().into();
    let after = |hours| began + TimeDelta::hours(hours);
    let file = std::fs::File::options().write(true).open(&path).unwrap();
    file.set_modified(after(10).into()).unwrap();
    let sweep = |hours, leftovers| beside.waiting().sweep(after(hours), leftovers).unwrap();
    sweep(23, true);
    sweep(50, false);
    assert_eq!(kept(&state), 2, "a page that looks for packs leaves it too");
    sweep(25, true);
    assert!(path.exists() && !going_out.path().exists());
    sweep(35, true);
    assert_eq!(kept(&state), 0, "what a killed program left goes in the end");
}

#[tokio::test]
async fn rows_that_the_books_have_otherwise_are_named_before_they_are_left_alone_and_after() {
    let state = state().await;
    let service = service(&state);
    let sid = signed_in(&state, &service, "fell", Role::Engineer).await;
    let first = leads_to(&send(&service, &sid, &[("units.csv", UNITS.as_bytes())]).await);
    leads_to(&post(&service, &format!("{first}/take"), &sid, "rows=all").await);
    assert!(!ended(&service, &sid, &first).await.contains("something else than the books"));

    let units = "unit,name\nSTORE,\nCOVE-2,Second crew\n";
    let address = leads_to(&send(&service, &sid, &[("units.csv", units.as_bytes())]).await);
    let page = plain(&text(get(&service, &address, &sid).await).await);
    assert!(page.contains("1 row of units.csv: line 3 (name)") && page.contains("Take it all in"), "{page}");
    leads_to(&post(&service, &format!("{address}/take"), &sid, "rows=all").await);
    let page = plain(&ended(&service, &sid, &address).await);
    assert!(page.contains("which were left as they are") && page.contains("units.csv: line 3"), "{page}");
    assert_eq!(state.store().list_units().await.unwrap()[0].name, None);
}

#[tokio::test]
async fn a_list_of_refusals_runs_nothing_in_a_spreadsheet() {
    let state = state().await;
    let service = service(&state);
    let sid = signed_in(&state, &service, "fell", Role::Engineer).await;
    let units = "unit,kind\nCOVE-2,=HYPERLINK(1)\nRIDGE-1,wearing\n";
    let address = leads_to(&send(&service, &sid, &[("units.csv", units.as_bytes())]).await);
    let list = text(get(&service, &format!("{address}/refusals.csv"), &sid).await).await;
    assert!(list.contains("units.csv,2,kind,'=HYPERLINK(1),"), "{list}");
    let page = plain(&text(get(&service, &address, &sid).await).await);
    assert!(page.contains("=HYPERLINK(1)") && !page.contains("'=HYPERLINK(1)"), "{page}");
}

#[tokio::test]
async fn units_have_no_packs_and_the_board_takes_books_out_only() {
    let state = state().await;
    let service = service(&state);
    let unit = signed_in(&state, &service, "tarn", Role::UnitReporter).await;
    let board = signed_in(&state, &service, "skerry", Role::Board).await;
    let units: [(&str, &[u8]); 1] = [("units.csv", UNITS.as_bytes())];
    for sid in [&unit, &board] {
        let (status, page) = answer(&service, sid, &units).await;
        assert_eq!(status, StatusCode::FORBIDDEN);
        assert!(page.contains("Your role doesn't allow this."), "{page}");
    }
    for address in ["/packs", "/packs/export.zip"] {
        assert_eq!(get(&service, address, &unit).await.status(), StatusCode::FORBIDDEN);
    }
    assert_eq!(kept(&state), 0);
    let page = text(get(&service, "/packs", &board).await).await;
    assert!(page.contains("Export the books") && !page.contains("Send and check"), "{page}");
}

#[tokio::test]
async fn the_books_go_out_as_a_zip_that_comes_back_in() {
    let state = state().await;
    let service = service(&state);
    let sid = signed_in(&state, &service, "fell", Role::Engineer).await;
    let units = "unit,kind,contact_email\nCOVE-2,wearing,cove@rescue.example\n";
    let address = leads_to(&send(&service, &sid, &[("units.csv", units.as_bytes())]).await);
    leads_to(&post(&service, &format!("{address}/take"), &sid, "rows=all").await);
    ended(&service, &sid, &address).await;

    let out = get(&service, "/packs/export.zip", &sid).await;
    let header = |name| out.headers()[name].to_str().unwrap().to_owned();
    assert_eq!(header("content-disposition"), "attachment; filename=\"bartack-2026-03-03.zip\"");
    let length: usize = header("content-length").parse().unwrap();
    let bytes = axum::body::to_bytes(out.into_body(), 1 << 22).await.unwrap();
    assert_eq!(bytes.len(), length);
    let zip = vec![("books.zip".to_owned(), bytes.to_vec())];
    let mut units = String::new();
    let source = PackSource::from_files(zip, Limits::UPLOAD).unwrap();
    source.read(Table::Units, |file| file.read_to_string(&mut units)).unwrap().unwrap().unwrap();
    assert_eq!(units, "unit,name,kind,parent_unit,contact_email\nCOVE-2,,wearing,,\n");
    let back = leads_to(&send(&service, &sid, &[("bartack-2026-03-03.zip", &bytes)]).await);
    let page = text(get(&service, &back, &sid).await).await;
    assert!(page.contains("1 known already, 0 refused."), "{page}");
    assert_eq!(kept(&state), 2, "what was sent out lies nowhere");
}

#[tokio::test]
async fn administrators_take_the_books_out_without_what_units_wrote() {
    let state = state().await;
    small_books::bring_in(&state).await;
    let service = service(&state);
    for (name, role, has) in [("fell", Role::Engineer, true), ("holm", Role::Administrator, false)] {
        let sid = signed_in(&state, &service, name, role).await;
        let page = text(get(&service, "/packs", &sid).await).await;
        assert_eq!(page.contains("without the failure reports"), !has, "{page}");
        let out = get(&service, "/packs/export.zip", &sid).await;
        let bytes = axum::body::to_bytes(out.into_body(), 1 << 22).await.unwrap();
        let mut zip = zip::ZipArchive::new(std::io::Cursor::new(bytes)).unwrap();
        assert!(zip.by_name("lots.csv").is_ok(), "{name}");
        assert_eq!(zip.by_name("reports.csv").is_ok(), has, "{name}");
    }
}

#[tokio::test]
async fn circles_and_impossible_quantities_of_lots_are_refused_with_line_and_column() {
    let state = state().await;
    let service = service(&state);
    let sid = signed_in(&state, &service, "fell", Role::Engineer).await;
    let lots = "lot_no,part_no,revision,quantity\nH-1,HARNESS,A,10\nH-2,HARNESS,A,10\nH-3,HARNESS,A,10\n";
    let uses = "lot_no,used_lot_no,quantity\nH-2,H-1,4\nH-1,H-2,1\nH-3,H-1,7\n";
    let files: [(&str, &[u8]); 4] = [
        ("units.csv", UNITS.as_bytes()),
        ("parts.csv", PARTS.as_bytes()),
        ("lots.csv", lots.as_bytes()),
        ("lot_uses.csv", uses.as_bytes()),
    ];
    let address = leads_to(&send(&service, &sid, &files).await);
    let page = plain(&text(get(&service, &address, &sid).await).await);
    for said in
        ["this lot was itself made from H-1", "expected at most 6", "2 refused", "quantity", "used_lot_no"]
    {
        assert!(page.contains(said), "{said}: {page}");
    }
}
