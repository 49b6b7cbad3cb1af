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
    for address in ["/status", "/status.csv", "/status.xlsx", "/status/CH-1", "/digest"] {
        assert_eq!(get(&service, address, &sid).await.status(), StatusCode::FORBIDDEN);
    }
}

#[tokio::test]
async fn the_workbook_has_the_table_and_its_reach_by_unit_and_size_and_no_formula() {
    let state = state().await;
    small_books::bring_in(&state).await;
    person(&state, "fell", Role::Engineer, "seven dry karabiners").await;
    let service = service(&state);
    let sid = signed_in(&service, "fell").await;
    let response = get(&service, "/status.xlsx", &sid).await;
    assert!(response.headers()[header::CONTENT_DISPOSITION].to_str().unwrap().ends_with(".xlsx\""));
    let bytes = axum::body::to_bytes(response.into_body(), 1 << 22).await.unwrap();
    let mut file = zip::ZipArchive::new(std::io::Cursor::new(bytes.to_vec())).unwrap();
    let mut part = |name: &str| {
        let mut text = String::new();
        std::io::Read::read_to_string(&mut file.by_name(name).unwrap(), &mut text).unwrap();
        text
    };
    let book = part("xl/workbook.xml");
    assert!(["Changes", "Reach by unit", "Reach by size"].iter().all(|name| book.contains(name)), "{book}");
    assert!(part("xl/sharedStrings.xml").contains("=Coated slider"));
    let (table, units) = (part("xl/worksheets/sheet1.xml"), part("xl/worksheets/sheet2.xml"));
    assert!(!table.contains("<f>") && table.contains("<v>300</v>"), "{table}");
    // 100 of 400 items have it, all at one unit.
    assert!(units.contains("<v>0.25</v>") && units.contains("<v>400</v>"), "{units}");
}

#[tokio::test]
async fn the_table_narrows_and_sorts_by_links_and_each_change_leads_to_its_reach() {
    let state = state().await;
    small_books::bring_in(&state).await;
    person(&state, "skerry", Role::Board, "seven dry karabiners").await;
    let service = service(&state);
    let sid = signed_in(&service, "skerry").await;
    let board = text(get(&service, "/status?whom=the+board", &sid).await).await;
    assert!(!board.contains("CH-1") && board.contains("No change stands there."));
    let sorted = text(get(&service, "/status?state=cut+in&sort=reach", &sid).await).await;
    assert!(sorted.contains("All, by reach") && sorted.contains("aria-sort=\"ascending\""), "{sorted}");
    assert!(sorted.contains("/status?state&#x3D;cut%20in&amp;whom&#x3D;&amp;sort&#x3D;risk"), "{sorted}");
    let reach = text(get(&service, "/status/CH-1", &sid).await).await;
    for words in ["By size", "By unit", "COVE-2", "25\u{a0}%"] {
        assert!(reach.contains(words), "{words}: {reach}");
    }
    assert_eq!(get(&service, "/status/CH-9", &sid).await.status(), StatusCode::NOT_FOUND);
}
