//! The catalogue as its page shows it, and modes that engineers add.

use axum::http::StatusCode;
use domain::catalogue::Catalogue;
use domain::permission::Role;

use crate::state::AppState;
use crate::testing::{cookie, get, person, post, service, state};

const GOOD: &str = "kind=ZIP&code=zip-90&name=Pull+tab+frozen&field_words=frozen+shut%0AIced+Up&severity=M";

async fn signed_in(role: Role) -> (AppState, axum::Router, String) {
    let state = state().await;
    person(&state, "fell", role, "seven dry karabiners").await;
    let service = service(&state);
    let sid = cookie(&post(&service, "/sign-in", "", "name=fell&password=seven+dry+karabiners").await);
    (state, service, sid)
}

/// A page as it is read, its marks of quotation as themselves.
async fn text(response: axum::http::Response<axum::body::Body>) -> String {
    crate::testing::text(response).await.replace("&#x60;", "`")
}

#[tokio::test]
async fn modes_are_found_in_the_words_of_units_and_of_engineers() {
    let (_, service, sid) = signed_in(Role::Board).await;
    let whole = text(get(&service, "/catalogue", &sid).await).await;
    assert!(
        whole.contains("Edition 1, nothing added here.") && whole.contains("134 of 134 modes shown."),
        "{whole}"
    );
    assert!(!whole.contains("Add a mode"), "the board reads only");
    let units = text(get(&service, "/catalogue?search=zipper+SPLIT", &sid).await).await;
    assert!(units.contains("Chain split") && !units.contains("Abrasion wear-through"), "{units}");
    let engineers = text(get(&service, "/catalogue?search=Martindale&kind=PNL", &sid).await).await;
    assert!(engineers.contains("Abrasion wear-through"), "{engineers}");
    let nothing = text(get(&service, "/catalogue?search=%3Cb%3Ezz", &sid).await).await;
    assert!(nothing.contains("No mode has these words.") && !nothing.contains("<b>zz"), "{nothing}");
}

#[tokio::test]
async fn an_engineer_adds_a_mode_once() {
    let (state, service, sid) = signed_in(Role::Engineer).await;
    let added = post(&service, "/catalogue/add", &sid, GOOD).await;
    assert_eq!(added.status(), StatusCode::SEE_OTHER);
    let there = added.headers()["location"].to_str().unwrap().split('#').next().unwrap().to_owned();
    let page = text(get(&service, &there, &sid).await).await;
    assert!(
        page.contains("ZIP-90 is in the catalogue now.") && page.contains("frozen shut; iced up"),
        "{page}"
    );
    assert!(page.contains("Edition 1, 1 mode added here."), "{page}");
    let again = post(&service, "/catalogue/add", &sid, GOOD).await;
    assert_eq!(again.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let again = text(again).await;
    assert!(
        again.contains("`ZIP-90` is in the catalogue already.") && again.contains("Pull tab frozen"),
        "{again}"
    );
    assert_eq!(
        state.store().catalogue().await.unwrap().modes().len(),
        Catalogue::shipped().modes().len() + 1
    );
}

#[tokio::test]
async fn a_new_kind_comes_with_its_first_mode() {
    let (state, service, sid) = signed_in(Role::Engineer).await;
    let form = "kind=%2B&new_kind=mag&kind_name=Magnetic+closure&code=MAG-1&name=Pulls+off&field_words=let+go&severity=S";
    assert_eq!(post(&service, "/catalogue/add", &sid, form).await.status(), StatusCode::SEE_OTHER);
    let catalogue = state.store().catalogue().await.unwrap();
    assert_eq!(catalogue.kind("MAG").unwrap().name, "Magnetic closure");
}

#[tokio::test]
async fn every_fault_is_told_beside_its_field() {
    let (state, service, sid) = signed_in(Role::Engineer).await;
    for (form, says) in [
        ("", "Choose the kind of part"),
        ("", "Write at least one phrase a unit would use"),
        ("", "Choose how bad it usually is."),
        ("", "Write what engineers call it."),
        ("kind=ZIP&code=SEM-90&name=a&field_words=b&severity=M", "Expected a code that begins with `ZIP-`."),
        (
            "kind=ZIP&code=ZIP-%3Cb%3E&name=a&field_words=b&severity=M",
            "Expected capitals, digits and hyphens in the code.",
        ),
        (
            "kind=%2B&new_kind=MAG&code=MAG-1&name=a&field_words=b&severity=M",
            "Expected a name for the new kind.",
        ),
    ] {
        let refused = post(&service, "/catalogue/add", &sid, form).await;
        assert_eq!(refused.status(), StatusCode::UNPROCESSABLE_ENTITY, "{form}");
        let page = text(refused).await;
        assert!(page.contains(says), "{form}: {page}");
    }
    assert_eq!(state.store().catalogue().await.unwrap(), *Catalogue::shipped());
}

#[tokio::test]
async fn the_board_adds_nothing_and_units_do_not_read_it() {
    let (_, service, sid) = signed_in(Role::Board).await;
    assert_eq!(post(&service, "/catalogue/add", &sid, GOOD).await.status(), StatusCode::FORBIDDEN);
    assert_eq!(get(&service, "/catalogue/add", &sid).await.status(), StatusCode::FORBIDDEN);
    let (_, service, sid) = signed_in(Role::UnitReporter).await;
    assert_eq!(get(&service, "/catalogue", &sid).await.status(), StatusCode::FORBIDDEN);
}
