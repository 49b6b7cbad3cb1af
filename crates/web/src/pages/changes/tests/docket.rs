//! The docket: a meeting with changes in order, advice by members, the decision by whoever takes the chair.

use axum::http::{StatusCode, header};
use domain::permission::Role;

use super::world::World;
use crate::testing::{get, person, post, text};

#[tokio::test]
async fn members_advise_on_a_docket_and_nobody_on_a_record_of_their_own() {
    let world = World::new().await;
    person(&world.state, "reed", Role::Board, "seven dry karabiners").await;
    let (engineer, chair) = (world.sign_in("fell").await, world.sign_in("skerry").await);
    world.submitted(&engineer).await;
    let wrong = post(&world.service, "/docket", &engineer, "held_on=soon&title=").await;
    assert_eq!(wrong.status(), StatusCode::UNPROCESSABLE_ENTITY);
    assert!(text(wrong).await.contains("Write the day"));
    let called = post(&world.service, "/docket", &engineer, "held_on=2026-03-10&title=March+board").await;
    assert_eq!(called.headers()[header::LOCATION], "/docket/1");
    let on = post(&world.service, "/docket/1/put-on", &engineer, "change=2026-001").await;
    assert_eq!(on.status(), StatusCode::SEE_OTHER);
    let advice = |words: &str| {
        format!("change=2026-001&recommends-2026-001=approve+with+conditions&words-2026-001={words}")
    };
    let refused = post(&world.service, "/docket/1/advise", &engineer, &advice("mine")).await;
    assert_eq!(refused.status(), StatusCode::FORBIDDEN);
    let without = post(&world.service, "/docket/1/advise", &chair, &advice("")).await;
    assert_eq!(without.status(), StatusCode::UNPROCESSABLE_ENTITY);
    assert!(text(without).await.contains("Say why"));
    let kept = post(&world.service, "/docket/1/advise", &chair, &advice("weigh+XL+first")).await;
    assert_eq!(kept.status(), StatusCode::SEE_OTHER);
    let reed = world.sign_in("reed").await;
    let page = text(get(&world.service, "/docket/1", &reed).await).await;
    for words in [
        "10 Mar 2026",
        "approve with conditions",
        "weigh XL first",
        "/changes/2026-001/decide",
        "Failures before",
    ] {
        assert!(page.contains(words), "{words}: {page}");
    }
    world.make("fell", Role::Board).await;
    let own = world.sign_in("fell").await;
    let refused = post(&world.service, "/docket/1/advise", &own, &advice("mine")).await;
    assert_eq!(refused.status(), StatusCode::FORBIDDEN);
    let page = text(get(&world.service, "/docket/1", &own).await).await;
    assert!(
        page.contains("Nobody advises or decides") && !page.contains("/changes/2026-001/decide"),
        "{page}"
    );
    let list = text(get(&world.service, "/docket", &reed).await).await;
    assert!(list.contains("March board") && list.contains("1 change"), "{list}");
    let tarn = world.sign_in("tarn").await;
    assert_eq!(get(&world.service, "/docket", &tarn).await.status(), StatusCode::FORBIDDEN);
}

#[tokio::test]
async fn two_revisions_stand_beside_each_other_with_their_words_marked() {
    let world = World::new().await;
    let (engineer, chair) = (world.sign_in("fell").await, world.sign_in("skerry").await);
    world.submitted(&engineer).await;
    let defer = "disposition=defer&reason=more&signature=skerry&password=seven+dry+karabiners";
    world.decide(&chair, defer).await;
    let record = world.state.store().find_change_record("2026-001").await.expect("read").expect("there");
    let version = record.body.expect("a record").version;
    let edit = format!(
        "version={version}&title=Coated+slider&problem=It+splits+in+salt.&description=A+coated+slider."
    );
    post(&world.service, "/changes/2026-001/edit/words", &engineer, &edit).await;
    let page = text(get(&world.service, "/changes/2026-001/revisions", &chair).await).await;
    assert!(page.contains("1 field differs") && page.contains("<ins>splits in salt.</ins>"), "{page}");
    let form = format!("version={}", version + 1);
    let again = post(&world.service, "/changes/2026-001/submit", &engineer, &form).await;
    assert_eq!(again.status(), StatusCode::SEE_OTHER);
    let page = text(get(&world.service, "/changes/2026-001/revisions?a=2&b=1", &chair).await).await;
    assert!(page.contains("<del>splits in salt.</del>") && page.contains("Revision 2"), "{page}");
}
