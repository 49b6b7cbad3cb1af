//! Units and their links, tried through the whole service.

use axum::Router;
use axum::http::{StatusCode, header};
use domain::permission::{Actor, Role};
use domain::unit::{Unit, UnitKind};

use crate::state::AppState;
use crate::testing::books::{self, bring_in, leads_to, link, three_answers};
use crate::testing::{cookie, get, person, post, service, state, text};

async fn signed_in_as(role: Role) -> (AppState, Router, String) {
    let state = state().await;
    let unit = |code: &str, name: &str| Unit {
        unit: code.into(),
        name: Some(name.into()),
        kind: UnitKind::Wearing,
        parent_unit: None,
        contact_email: None,
    };
    for unit in [unit("COVE-2", "Cove crew 2"), unit("RIDGE-1", "<b>Ridge</b>")] {
        state.store().add_unit(&Actor::Program, state.now(), &unit).await.unwrap();
    }
    person(&state, "fell", role, "seven dry karabiners").await;
    let service = service(&state);
    let opened = post(&service, "/sign-in", "", "name=fell&password=seven+dry+karabiners").await;
    let sid = cookie(&opened);
    (state, service, sid)
}

/// The token of the link that a poster shows.
fn token(poster: &str) -> String {
    poster.split("/report/").nth(1).unwrap().split('<').next().unwrap().trim().to_owned()
}

#[tokio::test]
async fn a_link_is_shown_once_opens_the_form_and_after_revoking_opens_nothing() {
    let (state, service, sid) = signed_in_as(Role::Engineer).await;
    let made = post(&service, "/units/COVE-2/links", &sid, "label=store+room+door").await;
    assert_eq!(made.status(), StatusCode::OK);
    let poster = text(made).await;
    assert!(poster.contains("Cove crew 2") && poster.contains("square-code"), "{poster}");
    let form = format!("/report/{}", token(&poster));
    assert_eq!(get(&service, &form, "").await.status(), StatusCode::OK);

    let sheet = text(get(&service, "/units/COVE-2", &sid).await).await;
    assert!(sheet.contains("store room door") && sheet.contains("none yet"), "{sheet}");
    assert!(!sheet.contains(&token(&poster)), "the token isn't shown again");

    let id = state.store().list_unit_links(Some("COVE-2")).await.unwrap()[0].id;
    let address = format!("/units/COVE-2/links/{id}/revoke");
    assert!(text(get(&service, &address, &sid).await).await.contains("Revoke this link?"));
    assert_eq!(get(&service, &form, "").await.status(), StatusCode::OK, "asking revokes nothing");
    let revoked = post(&service, &address, &sid, "").await;
    assert_eq!(revoked.headers()[header::LOCATION], "/units/COVE-2");
    assert_eq!(get(&service, &form, "").await.status(), StatusCode::NOT_FOUND);
    assert_eq!(post(&service, &address, &sid, "").await.status(), StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn a_link_needs_words_for_where_it_hangs_and_a_unit() {
    let (state, service, sid) = signed_in_as(Role::Administrator).await;
    let refused = post(&service, "/units/COVE-2/links", &sid, "label=+&language=de").await;
    assert_eq!(refused.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let page = text(refused).await;
    assert!(page.contains("where it will hang.") && page.contains(r#"value="de" checked"#), "{page}");
    let nowhere = post(&service, "/units/COVE-9/links", &sid, "label=door").await;
    assert_eq!(nowhere.status(), StatusCode::NOT_FOUND);
    assert!(state.store().list_unit_links(None).await.unwrap().is_empty());
}

#[tokio::test]
async fn units_are_searched_and_their_names_are_only_text() {
    let (_, service, sid) = signed_in_as(Role::Engineer).await;
    let found = text(get(&service, "/units?search=ridge", &sid).await).await;
    assert!(found.contains("&lt;b&gt;Ridge&lt;/b&gt;") && !found.contains("COVE-2"), "{found}");
    assert!(text(get(&service, "/units?search=zzz", &sid).await).await.contains("No unit has this"));
}

#[tokio::test]
async fn a_link_is_revoked_only_as_its_own_units() {
    let (state, service, sid) = signed_in_as(Role::Engineer).await;
    post(&service, "/units/COVE-2/links", &sid, "label=door").await;
    let id = state.store().list_unit_links(None).await.unwrap()[0].id;
    let other = post(&service, &format!("/units/RIDGE-1/links/{id}/revoke"), &sid, "").await;
    assert_eq!(other.status(), StatusCode::NOT_FOUND);
    assert!(state.store().list_unit_links(None).await.unwrap()[0].revoked_at.is_none());
}

#[tokio::test]
async fn who_may_not_manage_links_sees_none() {
    let (state, service, sid) = signed_in_as(Role::Board).await;
    for address in ["/units", "/units/COVE-2", "/units/COVE-2/links/1/revoke"] {
        assert_eq!(get(&service, address, &sid).await.status(), StatusCode::FORBIDDEN, "{address}");
    }
    let made = post(&service, "/units/COVE-2/links", &sid, "label=door").await;
    assert_eq!(made.status(), StatusCode::FORBIDDEN);
    assert!(state.store().list_unit_links(None).await.unwrap().is_empty());
}

/// A service where two crews have a link and a report each: (own link, own report, the other's report).
async fn two_crews() -> (AppState, Router, String, String, String) {
    let state = crate::testing::state().await;
    bring_in(&state).await;
    let service = service(&state);
    let mut links = Vec::new();
    for (unit, key) in [("COVE-2", 'a'), ("RIDGE-1", 'b')] {
        let secret = link(&state, unit).await;
        books::send(&service, &format!("/report/{secret}"), "", &three_answers(key), &[]).await;
        links.push(secret);
    }
    let mut refs = Vec::new();
    for unit in ["COVE-2", "RIDGE-1"] {
        let lines = state.store().reports_of_unit(unit, store::Page::first(9)).await.unwrap();
        refs.push(lines[0].report.report_ref.clone());
    }
    (state, service, links.remove(0), refs.remove(0), refs.remove(0))
}

#[tokio::test]
async fn a_unit_sees_its_own_reports_and_none_of_anothers() {
    let (_, service, secret, own, other) = two_crews().await;
    let page = text(get(&service, &format!("/unit/{secret}"), "").await).await;
    assert!(page.contains(&own) && !page.contains(&other), "{page}");
    let report = text(get(&service, &format!("/unit/{secret}/{own}"), "").await).await;
    assert!(
        report.contains("zipper split climbing") && report.contains("All reports of your unit"),
        "{report}"
    );

    let of_other = get(&service, &format!("/unit/{secret}/{other}"), "").await;
    let of_none = get(&service, &format!("/unit/{secret}/nothing"), "").await;
    assert_eq!((of_other.status(), of_none.status()), (StatusCode::NOT_FOUND, StatusCode::NOT_FOUND));
    let (of_other, of_none) = (text(of_other).await, text(of_none).await);
    assert!(of_other.contains("Your unit sent no report") && of_none.contains("Your unit sent no report"));
}

#[tokio::test]
async fn engineers_find_what_a_unit_reported_on_its_sheet_and_administrators_only_its_links() {
    let (state, service, _, own, other) = two_crews().await;
    let mut read = Vec::new();
    for (name, role) in [("fell", Role::Engineer), ("holm", Role::Administrator)] {
        let sid = books::signed_in(&state, &service, name, role, None).await;
        read.push(text(get(&service, "/units/COVE-2", &sid).await).await);
    }
    assert!(read[0].contains(&format!("href=\"/reports/{own}\"")), "{}", read[0]);
    assert!(read[0].contains("zipper split climbing") && !read[0].contains(&other), "{}", read[0]);
    assert!(!read[1].contains(&own) && !read[1].contains("Latest reports"), "{}", read[1]);
}

#[tokio::test]
async fn a_question_stands_on_top_until_it_is_answered() {
    let (state, service, secret, own, other) = two_crews().await;
    let id = state.store().ask(&Actor::Program, state.now(), &own, "Which <side>?").await.unwrap();
    state.store().ask(&Actor::Program, state.now(), &other, "None of yours").await.unwrap();
    let page = text(get(&service, &format!("/unit/{secret}"), "").await).await;
    let (question, reports) =
        (page.find("Which &lt;side&gt;?").unwrap(), page.find("What you reported").unwrap());
    assert!(question < reports && !page.contains("None of yours"), "{page}");

    let address = format!("/unit/{secret}/{own}/question/{id}");
    let long = "x".repeat(4_001);
    let refused = text(post(&service, &address, "", &format!("answer={long}")).await).await;
    assert!(refused.contains(&format!("{long}</textarea>")) && refused.contains("All reports of your unit"));
    let answered = post(&service, &address, "", "answer=the+left").await;
    assert_eq!(leads_to(&answered), format!("/unit/{secret}/{own}"));
    let page = text(get(&service, &format!("/unit/{secret}"), "").await).await;
    assert!(!page.contains("We have a question for you") && page.contains("your answer came"), "{page}");
    let report = text(get(&service, &format!("/unit/{secret}/{own}"), "").await).await;
    assert!(report.contains("An engineer has looked at it and asked you a question."), "{report}");
    assert!(!report.contains("Nobody has looked at it yet"), "{report}");
    let others = format!("/unit/{secret}/{other}/question/{id}");
    assert_eq!(post(&service, &others, "", "answer=x").await.status(), StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn a_reporter_who_is_signed_in_needs_no_secret_and_others_have_no_unit() {
    let (state, service, _, own, other) = two_crews().await;
    let tarn = books::signed_in(&state, &service, "tarn", Role::UnitReporter, Some("COVE-2")).await;
    let page = text(get(&service, "/unit", &tarn).await).await;
    assert!(page.contains(&format!("/reports/{own}")) && !page.contains(&other), "{page}");
    assert_eq!(get(&service, &format!("/reports/{own}"), &tarn).await.status(), StatusCode::OK);
    let fell = books::signed_in(&state, &service, "fell", Role::Engineer, None).await;
    assert_eq!(get(&service, "/unit", &fell).await.status(), StatusCode::FORBIDDEN);
    assert_eq!(leads_to(&get(&service, "/unit", "").await), "/sign-in?back=/unit");
}

#[tokio::test]
async fn a_revoked_link_shows_nothing_any_more() {
    let (state, service, secret, own, _) = two_crews().await;
    for link in state.store().list_unit_links(None).await.unwrap() {
        state.store().revoke_unit_link(&Actor::Program, state.now(), link.id).await.unwrap();
    }
    for address in [format!("/unit/{secret}"), format!("/unit/{secret}/{own}"), format!("/report/{secret}")] {
        assert_eq!(get(&service, &address, "").await.status(), StatusCode::NOT_FOUND);
    }
}
