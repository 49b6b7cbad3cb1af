//! A hand-over on the pages: who may, to whom, and the list that is left to sign.

use axum::http::StatusCode;
use domain::exhibit::{Exhibit, Stay, hold_from};
use domain::mail_address::MailAddress;
use domain::permission::{Actor, Role};
use store::{RecurrenceEdit, User};

use crate::state::AppState;
use crate::testing::{cookie, get, person, post, service, small_books, state, text};

#[tokio::test]
async fn an_engineer_passes_on_what_is_open_and_a_list_to_sign_is_left() {
    let state = state().await;
    small_books::bring_in(&state).await;
    let from = person(&state, "fell", Role::Engineer, "seven dry karabiners").await;
    let to = person(&state, "bight", Role::Engineer, "seven dry karabiners").await;
    let chair = person(&state, "skerry", Role::Board, "seven dry karabiners").await;
    let service = service(&state);
    let mut sids = Vec::new();
    for name in ["fell", "bight", "skerry"] {
        let form = format!("name={name}&password=seven+dry+karabiners");
        sids.push(cookie(&post(&service, "/sign-in", "", &form).await));
    }
    let page = format!("/people/{from}/hand-over");
    for sid in &sids[1..] {
        assert_eq!(get(&service, &page, sid).await.status(), StatusCode::FORBIDDEN);
    }
    let nothing = post(&service, &page, &sids[0], &format!("to={to}")).await;
    assert_eq!(nothing.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let actor = state.store().find_user(from).await.unwrap().unwrap().actor();
    let key = ("RC-131", "ZIP-1");
    state.store().decide_recurrence(&actor, state.now(), (key, None), &RecurrenceEdit::TakeUp).await.unwrap();
    assert!(text(get(&service, &page, &sids[0]).await).await.contains("/recurrences/RC-131/ZIP-1"));
    for wrong in [format!("to={chair}"), format!("to={from}"), "to=".to_owned()] {
        assert_eq!(post(&service, &page, &sids[0], &wrong).await.status(), StatusCode::UNPROCESSABLE_ENTITY);
    }
    let passed = post(&service, &page, &sids[0], &format!("to={to}&note=On+leave")).await;
    assert_eq!(passed.status(), StatusCode::SEE_OTHER);
    let list = passed.headers()["location"].to_str().unwrap().to_owned();
    for sid in &sids[..2] {
        let page = text(get(&service, &list, sid).await).await;
        assert!(page.contains("FELL") && page.contains("BIGHT") && page.contains("On leave"), "{page}");
    }
    assert_eq!(get(&service, &list, &sids[2]).await.status(), StatusCode::FORBIDDEN);
    let kept = state.store().find_recurrence(key.0, key.1).await.unwrap().unwrap();
    assert_eq!(kept.owner.as_deref(), Some("BIGHT"));
}

/// A report with what somebody has open on it: an exhibit, a question and a hold.
async fn promises(state: &AppState, user: &User) {
    let (store, actor, today) = (state.store(), user.actor(), state.today());
    let exhibit = Exhibit {
        report_ref: "R-1".into(),
        what: "front <slide> fastener".into(),
        received_on: today,
        hold_until: hold_from(today),
        places: vec![Stay { place: "shelf 4".into(), since: today }],
        released: None,
    };
    store.add_exhibit(&actor, state.now(), &exhibit).await.unwrap();
    store.ask(&actor, state.now(), "R-1", "Which strap?").await.unwrap();
    store.hold_report(&actor, state.now(), "R-1", "An inquiry is open.").await.unwrap();
}

#[tokio::test]
async fn exhibits_promises_and_mail_pass_on_and_the_pages_and_a_mail_say_who_has_them() {
    let state = state().await;
    small_books::bring_in(&state).await;
    let from = person(&state, "fell", Role::Engineer, "seven dry karabiners").await;
    let to = person(&state, "bight", Role::Engineer, "seven dry karabiners").await;
    let service = service(&state);
    let mut sids = Vec::new();
    for name in ["fell", "bight"] {
        let form = format!("name={name}&password=seven+dry+karabiners");
        sids.push(cookie(&post(&service, "/sign-in", "", &form).await));
    }
    let fell = state.store().find_user(from).await.unwrap().unwrap();
    promises(&state, &fell).await;
    let address = MailAddress::parse("fell@rescue.example").unwrap();
    state.store().set_on_call(&Actor::Program, state.now(), from, Some(&address)).await.unwrap();

    let page = format!("/people/{from}/hand-over");
    let open = text(get(&service, &page, &sids[0]).await).await;
    for said in [
        "Exhibits: 1",
        ">E-2026-001</a>: front &lt;slide&gt; fastener",
        "2 May 2026",
        "Questions to units: 1",
        ">report R-1</a>: Which strap?",
        "Holds on reports: 1",
        "On call<",
        r#"href="/exhibits/E-2026-001""#,
        "one setting for the whole service",
    ] {
        assert!(open.contains(said), "{said} in {open}");
    }
    for (wrong, says) in [("", "an address of the successor"), ("bight", "name@")] {
        let form = format!("to={to}&address={wrong}&note=On+leave");
        let back = post(&service, &page, &sids[0], &form).await;
        assert_eq!(back.status(), StatusCode::UNPROCESSABLE_ENTITY);
        let back = text(back).await;
        let beside = back.split(r#"id="address-problem""#).nth(1).expect("a problem at the field");
        assert!(beside[..200].contains(says), "{back}");
        assert!(back.contains("On leave") && back.contains("selected"), "what was typed is kept: {back}");
    }
    assert!(state.store().take_mail(state.now(), 9).await.unwrap().is_empty());

    let form = format!("to={to}&address=bight%40rescue.example&note=On+leave");
    let passed = post(&service, &page, &sids[0], &form).await;
    assert_eq!(passed.status(), StatusCode::SEE_OTHER);
    let list = passed.headers()["location"].to_str().unwrap().to_owned();
    let mails = state.store().take_mail(state.now(), 9).await.unwrap();
    let told: Vec<_> = mails.iter().map(|one| one.mail.to.as_str()).collect();
    assert_eq!(told, ["bight@rescue.example", "fell@rescue.example"]);
    let mail = &mails[0].mail;
    assert_eq!(mail.subject, "FELL handed 4 things over to BIGHT");
    for body in [&mail.text, &mail.html] {
        for said in ["Exhibits: 1", "Questions to units: 1", "Holds on reports: 1", "On call", "On leave"] {
            assert!(body.contains(said), "{said} in {body}");
        }
        assert!(body.contains(&format!("{}{list}", state.base_url())), "{body}");
    }
    assert!(mail.html.contains("<li>Exhibits: 1</li>") && !mail.text.contains('<'), "{mail:?}");

    let printed = text(get(&service, &list, &sids[1]).await).await;
    assert!(printed.contains("Handed over by") && printed.contains("Taken over by"), "{printed}");
    assert!(printed.contains("2 May 2026") && printed.contains("recorded by FELL: 4 things"), "{printed}");
    let exhibit = text(get(&service, "/exhibits/E-2026-001", &sids[1]).await).await;
    assert!(exhibit.contains("<dt>Owner</dt><dd>BIGHT</dd>"), "{exhibit}");
    let report = text(get(&service, "/reports/R-1", &sids[1]).await).await;
    assert_eq!(report.matches("FELL (passed on to BIGHT)").count(), 2, "question and hold: {report}");
    let call = text(get(&service, "/on-call", &sids[1]).await).await;
    assert!(call.contains("On call now: BIGHT.") && call.contains("bight@rescue.example"), "{call}");
    let nothing = text(get(&service, &page, &sids[0]).await).await;
    assert!(nothing.contains("Nothing of theirs is open"), "{nothing}");
}
