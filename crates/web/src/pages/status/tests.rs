//! The table and its file against books worked by hand: 300 items without the change, 100 built to it.

use axum::http::{StatusCode, header};
use domain::permission::Role;

use crate::testing::{cookie, get, person, post, service, small_books, state, text};

async fn signed_in(service: &axum::Router, name: &str) -> String {
    let form = format!("name={name}&password=seven+dry+karabiners");
    cookie(&post(service, "/sign-in", "", &form).await)
}

#[tokio::test]
async fn the_table_says_what_waits_for_whom_and_what_it_costs() {
    let state = state().await;
    small_books::bring_in(&state).await;
    person(&state, "skerry", Role::Board, "seven dry karabiners").await;
    let service = service(&state);
    let sid = signed_in(&service, "skerry").await;
    let page = text(get(&service, "/status", &sid).await).await;
    for words in [
        "Waiting for the units&#x27; reports and the engineer: proof from the field",
        "1 Sep 2025",
        "on 300 items without it; from 3 reports",
        "25\u{a0}% of 400 in service: 100 built to it, 0 retrofitted",
        "too early",
        "/recurrences/RC-131/ZIP-1",
        "/changes/CH-1",
    ] {
        assert!(page.contains(words), "{words}: {page}");
    }
    assert!(!text(get(&service, "/status?state=submitted", &sid).await).await.contains("CH-1"));
    assert!(text(get(&service, "/status?state=cut+in", &sid).await).await.contains("CH-1"));
}

#[tokio::test]
async fn the_file_has_the_same_changes_with_plain_numbers_and_no_formula() {
    let state = state().await;
    small_books::bring_in(&state).await;
    person(&state, "fell", Role::Engineer, "seven dry karabiners").await;
    let service = service(&state);
    let sid = signed_in(&service, "fell").await;
    let response = get(&service, "/status.csv", &sid).await;
    assert_eq!(response.headers()[header::CONTENT_TYPE], "text/csv; charset=utf-8");
    let file = text(response).await;
    let mut reader = csv::Reader::from_reader(file.as_bytes());
    let heads = reader.headers().unwrap().clone();
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    assert_eq!(rows.len(), 1);
    let cell = |name: &str| rows[0].get(heads.iter().position(|head| head == name).unwrap()).unwrap();
    assert_eq!((cell("title"), cell("state"), cell("since")), ("'=Coated slider", "cut in", "2025-09-01"));
    assert_eq!(
        (cell("items_without"), cell("items_built_to_it"), cell("reports_before")),
        ("300", "100", "3")
    );
    // 300 items from 3 Mar 2024 to 3 Mar 2026 are 300 x 730 / 365.25 item-years.
    let (years, a_year): (f64, f64) =
        (cell("item_years_before").parse().unwrap(), cell("failures_a_year_while_it_waits").parse().unwrap());
    assert!((years - 599.59).abs() < 0.01 && (a_year - 3.0 / years * 300.0).abs() < 1e-9, "{years} {a_year}");
    assert!(text(get(&service, "/status.csv?state=draft", &sid).await).await.lines().count() == 1);
}

#[tokio::test]
async fn a_unit_reads_neither_table_nor_file() {
    let state = state().await;
    person(&state, "tarn", Role::UnitReporter, "seven dry karabiners").await;
    let service = service(&state);
    let sid = signed_in(&service, "tarn").await;
    for address in ["/status", "/status.csv"] {
        assert_eq!(get(&service, address, &sid).await.status(), StatusCode::FORBIDDEN);
    }
}
