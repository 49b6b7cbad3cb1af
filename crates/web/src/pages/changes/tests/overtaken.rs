//! What somebody sends from a page that is out of date, or sends twice: nothing is lost, and nothing comes of it unseen.

use axum::http::StatusCode;

use super::world::World;
use crate::testing::{get, post, text};

const SHEET: &str = "/changes/2026-001";
const DEFER: &str = "disposition=defer&reason=more&signature=skerry&password=seven+dry+karabiners";

/// The hidden fields of the form to withdraw, as its page has them.
fn shown(page: &str) -> String {
    let form = page.split(r#"action="/changes/2026-001/withdraw""#).nth(1).expect("a form to withdraw");
    let value = |name: &str| {
        let of = format!(r#"name="{name}" value=""#);
        form.split(&of)
            .nth(1)
            .and_then(|rest| rest.split('"').next())
            .expect("a hidden field")
            .replace(' ', "+")
    };
    format!("version={}&state={}", value("version"), value("state"))
}

#[tokio::test]
async fn a_withdrawal_from_a_page_that_is_out_of_date_kills_nothing() {
    let world = World::new().await;
    let (engineer, chair) = (world.sign_in("fell").await, world.sign_in("skerry").await);
    world.submitted(&engineer).await;
    let stale = shown(&text(get(&world.service, SHEET, &engineer).await).await);
    let approve = DEFER.replace("=defer", "=approve");
    assert_eq!(world.decide(&chair, &approve).await.status(), StatusCode::SEE_OTHER);
    for form in [stale.as_str(), "", "version=7&state=submitted"] {
        let refused = post(&world.service, "/changes/2026-001/withdraw", &engineer, form).await;
        assert_eq!(refused.status(), StatusCode::CONFLICT, "{form}");
        let page = text(refused).await;
        assert!(page.contains("it is approved now. It was not withdrawn"), "{page}");
    }
    assert_eq!(world.state_of("2026-001").await, "approved");
    let now = shown(&text(get(&world.service, SHEET, &engineer).await).await);
    for what in ["withdrawn", "two clicks on one button"] {
        let sent = post(&world.service, "/changes/2026-001/withdraw", &engineer, &now).await;
        assert_eq!(sent.status(), StatusCode::SEE_OTHER, "{what}");
    }
    assert_eq!(world.state_of("2026-001").await, "withdrawn");
}

#[tokio::test]
async fn a_slip_in_a_form_that_is_out_of_date_does_not_hide_what_a_colleague_wrote_meanwhile() {
    let world = World::new().await;
    let engineer = world.sign_in("fell").await;
    world.draft(&engineer).await;
    let send =
        async |typed: &str| post(&world.service, "/changes/2026-001/edit/costs", &engineer, typed).await;
    assert_eq!(
        send("version=1&conversion=14.50&currency=EUR&cost_source=maker").await.status(),
        StatusCode::SEE_OTHER
    );
    let slip = send("version=1&conversion=1,200&currency=EUR&cost_source=maker").await;
    assert_eq!(slip.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let page = text(slip).await;
    assert!(page.contains(r#"name="version" value="1""#), "{page}");
    assert_eq!(
        send("version=1&conversion=1200&currency=EUR&cost_source=maker").await.status(),
        StatusCode::CONFLICT
    );
}

#[tokio::test]
async fn a_section_that_is_sent_once_the_change_is_before_the_board_comes_back_with_what_was_typed() {
    let world = World::new().await;
    let engineer = world.sign_in("fell").await;
    world.submitted(&engineer).await;
    let typed = "version=7&title=Coated+slider&problem=It+splits&description=A+much+%3Cwider%3E+chain";
    let late = post(&world.service, "/changes/2026-001/edit/words", &engineer, typed).await;
    assert_eq!(late.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let page = text(late).await;
    for words in [
        "This change is submitted, so its record can&#x27;t be edited now.",
        "so that you can copy it out",
        "A much &lt;wider&gt; chain",
    ] {
        assert!(page.contains(words), "{words}: {page}");
    }
    assert!(!page.contains("Keep this section"), "{page}");
    let late = post(&world.service, "/changes/2026-001/weigh", &engineer, "size=&grams=41.2+40.8").await;
    assert_eq!(late.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let page = text(late).await;
    assert!(page.contains("41.2 40.8") && page.contains("what it rests on is frozen"), "{page}");
}

#[tokio::test]
async fn a_remark_that_is_too_long_comes_back_whole_and_one_that_is_sent_twice_is_kept_once() {
    let world = World::new().await;
    let engineer = world.sign_in("fell").await;
    world.draft(&engineer).await;
    let remark = async |words: &str| {
        post(&world.service, "/changes/2026-001/remark", &engineer, &format!("words={words}")).await
    };
    // Each end of a line is sent as two letters and counts as the one that was typed.
    let most = format!("{}%0D%0A{}", "x".repeat(1_000), "y".repeat(999));
    let long = remark(&format!("{most}z")).await;
    assert_eq!(long.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let page = text(long).await;
    assert!(
        page.contains("longer than 2,000 letters") && page.contains(&format!("{}z", "y".repeat(999))),
        "{page}"
    );
    assert!(page.contains(r#"action="/changes/2026-001/remark""#), "{page}");
    let empty = remark("+").await;
    assert_eq!(empty.status(), StatusCode::UNPROCESSABLE_ENTITY);
    assert!(text(empty).await.contains("The remark was empty"));
    for what in ["the longest there may be", "two clicks on one button"] {
        assert_eq!(remark(&most).await.status(), StatusCode::SEE_OTHER, "{what}");
    }
    let record = world.state.store().find_change_record("2026-001").await.unwrap().unwrap();
    assert_eq!(record.argued.remarks.len(), 1);
    let sheet = text(get(&world.service, SHEET, &engineer).await).await;
    assert!(sheet.contains(r#"maxlength="2000""#), "{sheet}");
}

#[tokio::test]
async fn a_draft_and_a_sitting_that_are_sent_twice_lead_to_the_first() {
    let world = World::new().await;
    let engineer = world.sign_in("fell").await;
    for _ in 0..2 {
        world.draft(&engineer).await;
        let sent = "size=&grams=2948.35+2948.36";
        let weighed = post(&world.service, "/changes/2026-001/weigh", &engineer, sent).await;
        assert_eq!(weighed.status(), StatusCode::SEE_OTHER);
    }
    assert_eq!(world.state.store().list_changes().await.unwrap().len(), 1);
    let sheet = text(get(&world.service, SHEET, &engineer).await).await;
    assert!(sheet.contains("2 specimens in all sizes"), "{sheet}");
}
