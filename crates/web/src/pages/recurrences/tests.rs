//! Who may see and decide what about recurrences, and what comes back when a form is wrong.

use axum::http::StatusCode;
use domain::distribution::Marking;
use domain::permission::Role;

use super::sheet::RecurrencePage;
use crate::templates::{Page as _, Templates};
use crate::testing::{cookie, get, person, post, service, state, text};

#[tokio::test]
async fn roles_read_and_decide_as_they_may() {
    let state = state().await;
    for (name, role) in [("fell", Role::Engineer), ("skerry", Role::Board), ("tarn", Role::UnitReporter)] {
        person(&state, name, role, "seven dry karabiners").await;
    }
    let service = service(&state);
    for (name, list, decide) in [
        ("fell", StatusCode::OK, StatusCode::NOT_FOUND),
        ("skerry", StatusCode::OK, StatusCode::FORBIDDEN),
        ("tarn", StatusCode::FORBIDDEN, StatusCode::FORBIDDEN),
    ] {
        let opened =
            post(&service, "/sign-in", "", &format!("name={name}&password=seven+dry+karabiners")).await;
        let sid = cookie(&opened);
        assert_eq!(get(&service, "/recurrences?severity=9&part=%3Cb%3E", &sid).await.status(), list);
        for step in ["take-up", "note", "risk"] {
            let address = format!("/recurrences/RC-131/ZIP-1/{step}");
            assert_eq!(post(&service, &address, &sid, "severity=2&reason=x").await.status(), decide);
        }
    }
    let nobody = get(&service, "/recurrences", "").await;
    assert_eq!(nobody.status(), StatusCode::SEE_OTHER);
}

#[tokio::test]
async fn an_empty_list_says_what_to_do_first_and_escapes_the_filter() {
    let state = state().await;
    person(&state, "fell", Role::Engineer, "seven dry karabiners").await;
    let service = service(&state);
    let sid = cookie(&post(&service, "/sign-in", "", "name=fell&password=seven+dry+karabiners").await);
    let page = text(get(&service, "/recurrences?part=%22%3E%3Cb%3E", &sid).await).await;
    assert!(page.contains(r#"href="/packs""#) && !page.contains("<b>"), "{page}");
}

#[test]
fn a_wrong_form_comes_back_with_its_problems_and_a_reader_gets_no_form() {
    let templates = Templates::load(&Marking::default()).unwrap();
    let pages: Vec<String> =
        RecurrencePage::samples().iter().map(|page| templates.render(page).unwrap()).collect();
    assert!(pages[0].contains("The carrier opened on a ladder.") && pages[0].contains("Slider worn by salt"));
    assert!(pages[1].contains("Choose a severity.") && pages[1].contains(r##"href="#reason""##));
    assert!(!pages[2].contains("<form class=\"form\""), "{}", pages[2]);
}
