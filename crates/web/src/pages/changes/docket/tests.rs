//! Advice that comes too late: the change was decided while it was written, or at an earlier meeting.

use axum::http::StatusCode;
use domain::permission::Role;

use crate::pages::changes::tests::world::World;
use crate::testing::{get, person, post, text};

#[tokio::test]
async fn advice_on_a_change_that_was_decided_meanwhile_is_said_to_be_late_with_the_words_that_were_typed() {
    let world = World::new().await;
    person(&world.state, "reed", Role::Board, "seven dry karabiners").await;
    let (engineer, chair) = (world.sign_in("fell").await, world.sign_in("skerry").await);
    world.submitted(&engineer).await;
    post(&world.service, "/docket", &engineer, "held_on=2026-03-10&title=March+board").await;
    post(&world.service, "/docket/1/put-on", &engineer, "change=2026-001").await;
    let reed = world.sign_in("reed").await;
    let open = text(get(&world.service, "/docket/1", &reed).await).await;
    assert!(open.contains(r#"id="words-2026-001""#) && !open.contains("was not kept"), "{open}");
    world
        .decide(&chair, "disposition=defer&reason=more&signature=skerry&password=seven+dry+karabiners")
        .await;
    assert_eq!(world.state_of("2026-001").await, "deferred");

    let advice =
        "change=2026-001&recommends-2026-001=approve+with+conditions&words-2026-001=weigh+XL+%3Cfirst%3E";
    let late = post(&world.service, "/docket/1/advise", &reed, advice).await;
    assert_eq!(late.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let page = text(late).await;
    for words in [
        r#"role="alert""#,
        "Your advice on 2026-001 was not kept",
        "This change is deferred; a docket is for what is before the board",
        "You recommended to approve with conditions.",
        "weigh XL &lt;first&gt;",
    ] {
        assert!(page.contains(words), "{words}: {page}");
    }
    assert!(!page.contains(r#"id="words-2026-001""#), "{page}");
}

#[tokio::test]
async fn advice_that_its_own_form_shows_as_wrong_is_not_said_twice() {
    let world = World::new().await;
    let (engineer, chair) = (world.sign_in("fell").await, world.sign_in("skerry").await);
    world.submitted(&engineer).await;
    post(&world.service, "/docket", &engineer, "held_on=2026-03-10&title=March+board").await;
    post(&world.service, "/docket/1/put-on", &engineer, "change=2026-001").await;
    let wrong = "change=2026-001&recommends-2026-001=approve&words-2026-001=";
    let page = text(post(&world.service, "/docket/1/advise", &chair, wrong).await).await;
    assert_eq!(page.matches("Say why, in up to 2,000 letters.").count(), 1, "{page}");
    assert!(!page.contains("was not kept"), "{page}");
}

#[tokio::test]
async fn the_docket_of_a_past_decision_shows_it_and_offers_nothing_though_the_change_waits_again() {
    let world = World::new().await;
    person(&world.state, "reed", Role::Board, "seven dry karabiners").await;
    let (engineer, chair) = (world.sign_in("fell").await, world.sign_in("skerry").await);
    let reed = world.sign_in("reed").await;
    world.submitted(&engineer).await;
    let advice = |words: &str| format!("change=2026-001&recommends-2026-001=defer&words-2026-001={words}");
    post(&world.service, "/docket", &engineer, "held_on=2026-03-10&title=March+board").await;
    post(&world.service, "/docket/1/put-on", &engineer, "change=2026-001").await;
    post(&world.service, "/docket/1/advise", &reed, &advice("more+bench")).await;
    world
        .decide(&chair, "disposition=defer&reason=more&signature=skerry&password=seven+dry+karabiners")
        .await;
    let record = world.state.store().find_change_record("2026-001").await.unwrap().unwrap();
    let again = format!("version={}", record.body.unwrap().version);
    let again = post(&world.service, "/changes/2026-001/submit", &engineer, &again).await;
    assert_eq!(again.status(), StatusCode::SEE_OTHER);
    post(&world.service, "/docket", &engineer, "held_on=2026-04-10&title=April+board").await;
    post(&world.service, "/docket/2/put-on", &engineer, "change=2026-001").await;

    let of = async |id: u8, sid: &str| text(get(&world.service, &format!("/docket/{id}"), sid).await).await;
    let (past, next) = (of(1, &reed).await, of(2, &reed).await);
    assert!(past.contains("<b>Defer, 3 Mar 2026") && past.contains("more bench"), "{past}");
    assert!(!past.contains("Change your advice") && !past.contains("/changes/2026-001/decide"), "{past}");
    assert!(next.contains("Advise</summary>") && next.contains("/changes/2026-001/decide"), "{next}");
    assert!(!next.contains("<b>Defer, 3 Mar 2026"), "it is another meeting's: {next}");
    assert!(!of(1, &engineer).await.contains("Take off") && of(2, &engineer).await.contains("Take off"));

    let late = post(&world.service, "/docket/1/advise", &reed, &advice("enough+now")).await;
    assert_eq!(late.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let late = text(late).await;
    assert!(
        late.contains("what was advised stays with that decision") && late.contains("enough now"),
        "{late}"
    );
    let off = post(&world.service, "/docket/1/take-off", &engineer, "change=2026-001").await;
    assert_eq!(off.status(), StatusCode::UNPROCESSABLE_ENTITY);
    assert!(of(1, &reed).await.contains("more bench"));
}
