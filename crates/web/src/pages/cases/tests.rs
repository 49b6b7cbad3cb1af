//! A lot put on hold and the case with its maker, from the page of the lot to the settlement.

use axum::http::StatusCode;
use domain::permission::Role;

use crate::testing::{cookie, get, person, post, service, small_books, state, text};

#[tokio::test]
async fn a_lot_is_held_and_the_case_with_its_maker_goes_to_its_settlement() {
    let state = state().await;
    small_books::bring_in(&state).await;
    person(&state, "fell", Role::Engineer, "seven dry karabiners").await;
    let service = service(&state);
    let sid = cookie(&post(&service, "/sign-in", "", "name=fell&password=seven+dry+karabiners").await);

    let held = "condition=on+hold&scope=whole&on=2026-03-03&authority=Chief&reason=Tubes";
    assert_eq!(post(&service, "/lots/TB-0418/condition", &sid, held).await.status(), StatusCode::SEE_OTHER);
    let no_unit = held.replace("scope=whole", "scope=unit&unit=NOWHERE");
    let wrong = post(&service, "/lots/TB-0418/condition", &sid, &no_unit).await;
    assert!(text(wrong).await.contains("No unit in the books has this code."));
    let page = text(get(&service, "/lots/TB-0418", &sid).await).await;
    assert!(
        page.contains("On hold")
            && page.contains("/cases/new?lot&#x3D;TB-0418&amp;maker&#x3D;Harbour%20Loft"),
        "{page}"
    );
    assert!(text(get(&service, "/lots", &sid).await).await.contains("<b>on hold</b>"));

    let opened = "lot_no=TB-0418&maker=Harbour+Loft&about=Tube+seams&notice_on=2026-02-01&reply_due=2026-03-01&sample_maker=5&sample_ours=4&sample_referee=3";
    let wrong = post(&service, "/cases/new", &sid, &opened.replace("Harbour", "Fjord")).await;
    assert_eq!(wrong.status(), StatusCode::UNPROCESSABLE_ENTITY);
    assert!(text(wrong).await.contains("No lot of this maker in the books has this number."));
    let case = post(&service, "/cases/new", &sid, opened).await;
    assert_eq!(case.headers()["location"], "/cases/M-2026-001");
    assert!(text(get(&service, "/cases", &sid).await).await.contains("The reply is overdue by 2 days"));
    assert!(
        text(get(&service, "/lots/TB-0418", &sid).await).await.contains("the reply is overdue by 2 days")
    );

    let settled =
        format!("{opened}&replied_on=2026-03-02&reply=Ours+hold&settled_on=2026-03-03&settlement=Replaced");
    let early = post(&service, "/cases/M-2026-001/edit?shown=0", &sid, &settled).await;
    assert!(text(early).await.contains("Expected what it came to, before it is settled."));
    let done =
        post(&service, "/cases/M-2026-001/edit", &sid, &format!("{settled}&result=nonconforming")).await;
    assert_eq!(done.status(), StatusCode::SEE_OTHER);
    let page = text(get(&service, "/cases/M-2026-001", &sid).await).await;
    assert!(page.contains("3 Mar 2026: Replaced") && !page.contains("Write on"), "{page}");
    let again = post(&service, &form_of(&service, &sid).await, &sid, &settled).await;
    assert_eq!(again.status(), StatusCode::UNPROCESSABLE_ENTITY);
}

/// Where the form to write on the case is sent, as its page says.
async fn form_of(service: &axum::Router, sid: &str) -> String {
    sent_to(&text(get(service, "/cases/M-2026-001/edit", sid).await).await)
}

fn sent_to(page: &str) -> String {
    let action = page.split(r#"action="/cases/"#).nth(1).and_then(|rest| rest.split('"').next());
    format!("/cases/{}", action.unwrap_or_default().replace("&#x3D;", "="))
}

#[tokio::test]
async fn two_who_write_on_a_case_at_once_lose_nothing_and_the_second_reads_what_the_first_wrote() {
    let state = state().await;
    small_books::bring_in(&state).await;
    let service = service(&state);
    let mut people = Vec::new();
    for name in ["fell", "bight"] {
        person(&state, name, Role::Engineer, "seven dry karabiners").await;
        let form = format!("name={name}&password=seven+dry+karabiners");
        people.push(cookie(&post(&service, "/sign-in", "", &form).await));
    }
    let opened =
        "lot_no=TB-0418&maker=Harbour+Loft&about=Tube+seams&notice_on=2026-02-01&reply_due=2026-03-01";
    assert_eq!(post(&service, "/cases/new", &people[0], opened).await.status(), StatusCode::SEE_OTHER);
    let (first, second) = (form_of(&service, &people[0]).await, form_of(&service, &people[1]).await);
    assert_eq!(first, second);
    let replied = format!("{opened}&replied_on=2026-03-02&reply=Ours+hold");
    assert_eq!(post(&service, &first, &people[0], &replied).await.status(), StatusCode::SEE_OTHER);
    let twice = post(&service, &first, &people[0], &replied).await;
    assert_eq!(twice.status(), StatusCode::SEE_OTHER, "two clicks on one button");

    let mine = opened.replace("reply_due=2026-03-01", "reply_due=2026-04-01");
    let refused = post(&service, &second, &people[1], &mine).await;
    assert_eq!(refused.status(), StatusCode::CONFLICT);
    let page = text(refused).await;
    assert!(page.contains("FELL wrote on this case 3 Mar 2026, 12:00 UTC"), "{page}");
    assert!(page.contains("the reply is now “Ours hold”"), "{page}");
    assert!(page.contains(r#"value="2026-04-01""#), "what was typed is kept: {page}");
    let kept = state.store().find_case("M-2026-001").await.unwrap().unwrap().what;
    assert_eq!((kept.reply_due.to_string().as_str(), kept.reply.is_some()), ("2026-03-01", true));

    // A form that is wrong besides is no news of the other's writing.
    let wrong = post(&service, &second, &people[1], &mine.replace("about=Tube+seams", "about=")).await;
    assert_eq!((wrong.status(), sent_to(&text(wrong).await)), (StatusCode::UNPROCESSABLE_ENTITY, second));

    let both = replied.replace("reply_due=2026-03-01", "reply_due=2026-04-01");
    assert_eq!(post(&service, &sent_to(&page), &people[1], &both).await.status(), StatusCode::SEE_OTHER);
    let kept = state.store().find_case("M-2026-001").await.unwrap().unwrap().what;
    assert_eq!((kept.reply_due.to_string().as_str(), kept.reply.is_some()), ("2026-04-01", true));
}
