//! The journal as its page shows it: who did what, found again, and never a secret.

use axum::http::StatusCode;
use domain::permission::{Actor, Role};
use domain::unit::{Unit, UnitKind};

use crate::testing::{cookie, get, noon, person, post, service, small_books, state, text};

fn unit(code: &str) -> Unit {
    Unit {
        unit: code.into(),
        name: Some("Cove crew".into()),
        kind: UnitKind::Wearing,
        parent_unit: None,
        contact_email: None,
    }
}

#[tokio::test]
async fn entries_are_shown_newest_first_found_by_what_and_whom_and_paged() {
    let state = state().await;
    person(&state, "holm", Role::Administrator, "seven dry karabiners").await;
    for number in 0..60 {
        state.store().add_unit(&Actor::Program, noon(), &unit(&format!("COVE-{number}"))).await.unwrap();
    }
    let service = service(&state);
    let sid = cookie(&post(&service, "/sign-in", "", "name=holm&password=seven+dry+karabiners").await);
    let page = async |address: &str| {
        let response = get(&service, address, &sid).await;
        assert_eq!(response.status(), StatusCode::OK, "{address}");
        text(response).await
    };

    let first = page("/journal?noun=unit").await;
    assert!(first.find("COVE-59") < first.find("COVE-58") && !first.contains("COVE-3<"), "{first}");
    assert!(first.contains("3 Mar 2026, 12:00 UTC") && first.contains("the program"), "{first}");
    let plain = first.replace("&#x3D;", "=").replace("&amp;", "&");
    let older = plain.split('"').find(|part| part.starts_with("/journal?noun=unit&older="));
    let second = page(older.expect("a way to older entries")).await;
    assert!(second.contains("COVE-3<") && !second.contains("COVE-59"), "{second}");

    let one = page("/journal?key=COVE-7&who=THE%20PROG").await;
    assert!(one.contains("COVE-7") && !one.contains("COVE-8"), "{one}");
    assert!(page("/journal?until=2026-03-02").await.contains("No entry fits this."));
    let whole = page("/journal?noun=user").await;
    assert!(whole.contains("holm") && !whole.contains("argon2"), "{whole}");
    let wrong = get(&service, "/journal?from=03.03.2026", &sid).await;
    assert_eq!(wrong.status(), StatusCode::UNPROCESSABLE_ENTITY);
    assert!(text(wrong).await.contains("Write a date such as 2026-03-09."));
}

#[tokio::test]
async fn what_units_wrote_is_read_by_engineers_and_not_by_administrators() {
    let state = state().await;
    small_books::bring_in(&state).await;
    let service = service(&state);
    small_books::send_again(&state, "R-2").await;
    let mut read = Vec::new();
    for (name, role) in [("fell", Role::Engineer), ("holm", Role::Administrator)] {
        person(&state, name, role, "seven dry karabiners").await;
        let form = format!("name={name}&password=seven+dry+karabiners");
        let sid = cookie(&post(&service, "/sign-in", "", &form).await);
        read.push(text(get(&service, "/journal?noun=report", &sid).await).await);
    }
    assert!(read[0].contains("zip open again"), "{}", read[0]);
    assert!(
        read[0].contains("href=\"/reports/N-R-2\"") && !read[1].contains("href=\"/reports/N-R-2"),
        "{}",
        read[0]
    );
    assert!(read[1].contains("send: report") && !read[1].contains("zip open"), "{}", read[1]);
    assert!(read[1].contains("What units wrote is for engineers and the board."), "{}", read[1]);
}

#[tokio::test]
async fn the_board_and_units_do_not_read_it() {
    let state = state().await;
    let service = service(&state);
    for (name, role) in [("skerry", Role::Board), ("tarn", Role::UnitReporter)] {
        person(&state, name, role, "seven dry karabiners").await;
        let form = format!("name={name}&password=seven+dry+karabiners");
        let sid = cookie(&post(&service, "/sign-in", "", &form).await);
        assert_eq!(get(&service, "/journal", &sid).await.status(), StatusCode::FORBIDDEN);
    }
}
