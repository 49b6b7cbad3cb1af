//! Advice that comes too late: the change was decided while it was written.

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
        "You recommended to approve on conditions.",
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
