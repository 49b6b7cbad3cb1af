//! A decision holds for what was shown; what came in since stands beside it; a slip in a cut-in is corrected.

use axum::http::{StatusCode, header};
use domain::report::{Harm, Report};
use store::{JournalFilter, Page};

use super::world::World;
use crate::testing::{get, post, text};

const SIGNED: &str = "&signature=skerry&password=seven+dry+karabiners";
const DECIDE: &str = "/changes/2026-001/decide";

#[tokio::test]
async fn a_chair_who_was_shown_an_older_text_is_told_so_and_shown_what_stands_now() {
    let world = World::new().await;
    let (engineer, chair) = (world.sign_in("fell").await, world.sign_in("skerry").await);
    world.submitted(&engineer).await;
    let open = text(get(&world.service, DECIDE, &chair).await).await;
    let shown = world.shown().await;
    for field in shown.trim_start_matches('&').split('&') {
        let (name, value) = field.split_once('=').expect("a field");
        assert!(open.contains(&format!(r#"name="{name}" value="{value}""#)), "{field}: {open}");
    }
    // Meanwhile it is put off, rewritten and put before the board again.
    world.decide(&chair, &format!("disposition=defer&reason=more{SIGNED}")).await;
    let version: i64 = shown.split(['=', '&']).nth(2).and_then(|text| text.parse().ok()).expect("a version");
    let edit = format!("version={version}&title=Coated+slider&problem=It+splits+in+salt&description=A+coat");
    post(&world.service, "/changes/2026-001/edit/words", &engineer, &edit).await;
    let again = format!("version={}", version + 1);
    post(&world.service, "/changes/2026-001/submit", &engineer, &again).await;
    assert_eq!(world.state_of("2026-001").await, "submitted");

    let approve = format!("disposition=approve&reason=enough+shown{SIGNED}");
    let stale = post(&world.service, DECIDE, &chair, &format!("{approve}{shown}")).await;
    assert_eq!(stale.status(), StatusCode::CONFLICT);
    let page = text(stale).await;
    for words in ["The record changed while this form was open", "revision 2", "enough shown", "/revisions"] {
        assert!(page.contains(words), "{words}: {page}");
    }
    assert!(!page.contains(r#"value="approve" checked"#) && !page.contains(r#"value="skerry""#), "{page}");
    assert_eq!(world.state_of("2026-001").await, "submitted");
    let bare = post(&world.service, DECIDE, &chair, &approve).await;
    assert_eq!(bare.status(), StatusCode::CONFLICT, "a form that doesn't say what was shown decides nothing");
    assert_eq!(world.decide(&chair, &approve).await.status(), StatusCode::SEE_OTHER);
}

#[tokio::test]
async fn guesses_at_the_password_of_a_decision_have_to_wait() {
    let world = World::new().await;
    let (engineer, chair) = (world.sign_in("fell").await, world.sign_in("skerry").await);
    world.submitted(&engineer).await;
    let typed =
        |password: &str| format!("disposition=approve&reason=enough&signature=skerry&password={password}");
    for guess in ["", "a", "b", "c", "d"] {
        let wrong = world.decide(&chair, &typed(guess)).await;
        assert_eq!(wrong.status(), StatusCode::UNPROCESSABLE_ENTITY);
        assert!(text(wrong).await.contains("This isn&#x27;t your password."));
    }
    let waits = world.decide(&chair, &typed("seven+dry+karabiners")).await;
    assert_eq!(waits.status(), StatusCode::TOO_MANY_REQUESTS);
    assert_eq!(waits.headers()["retry-after"], "60");
    let page = text(waits).await;
    assert!(
        page.contains("Too many wrong passwords for this name. Wait 1 minute") && page.contains("enough"),
        "{page}"
    );
    assert_eq!(world.state_of("2026-001").await, "submitted");
    let sign_in = "name=skerry&password=seven+dry+karabiners";
    let other_door = post(&world.service, "/sign-in", "", sign_in).await;
    assert_eq!(other_door.status(), StatusCode::TOO_MANY_REQUESTS, "they are the same tries");
}

#[tokio::test]
async fn a_right_password_under_a_decision_is_no_guess() {
    let world = World::new().await;
    let (engineer, chair) = (world.sign_in("fell").await, world.sign_in("skerry").await);
    world.submitted(&engineer).await;
    for guess in ["a", "b", "c", "d"] {
        let typed = format!("disposition=approve&reason=x&signature=skerry&password={guess}");
        world.decide(&chair, &typed).await;
    }
    let defer = format!("disposition=defer&reason=more{SIGNED}");
    assert_eq!(world.decide(&chair, &defer).await.status(), StatusCode::SEE_OTHER);
    let signed_in = post(&world.service, "/sign-in", "", "name=skerry&password=wrong").await;
    assert_eq!(signed_in.status(), StatusCode::UNPROCESSABLE_ENTITY, "it is counted from the start again");
}

#[tokio::test]
async fn a_near_miss_since_the_figures_stands_on_the_sheet_the_decision_and_the_docket() {
    let world = World::new().await;
    let (engineer, chair) = (world.sign_in("fell").await, world.sign_in("skerry").await);
    world.submitted(&engineer).await;
    post(&world.service, "/docket", &engineer, "held_on=2026-03-10&title=March+board").await;
    post(&world.service, "/docket/1/put-on", &engineer, "change=2026-001").await;
    let pages = ["/changes/2026-001", DECIDE, "/docket/1"];
    for address in pages {
        let page = text(get(&world.service, address, &chair).await).await;
        assert!(!page.contains("Since this was written"), "{address}: {page}");
    }
    let columns =
        "report_ref,found_on,received_on,unit,item_part_no,lot_text,lot_known,part_no,mode,found_when,harm\n";
    let rows = "R-4,2026-03-01,2026-03-03,COVE-2,RC-100,TB-1,read,RC-131,ZIP-1,in_use,near_miss\n\
                R-5,2026-03-01,2026-03-03,COVE-2,RC-100,TB-1,read,RC-131,ZIP-1,in_use,none\n";
    world.bring_in(&[("reports.csv", &format!("{columns}{rows}"))]).await;
    for address in pages {
        let page = text(get(&world.service, address, &chair).await).await;
        let says = "Since this was written on 3 Mar 2026: 2 more reports, of them 1 with harm (1 near miss).";
        assert!(page.contains(says) && page.contains("caution harm"), "{address}: {page}");
    }
}

#[tokio::test]
async fn a_report_that_a_unit_sends_after_the_submission_counts_at_once() {
    let world = World::new().await;
    let (engineer, chair) = (world.sign_in("fell").await, world.sign_in("skerry").await);
    world.submitted(&engineer).await;
    let report = Report { harm: Some(Harm::Injury), ..sent() };
    let facts = store::IntakeFacts {
        receipt_code: "code".into(),
        client_key: "key".into(),
        secret_hash: "hash".into(),
        unit_link_id: None,
        altered_by: None,
        contact: None,
        alarm: None,
    };
    let unit = domain::permission::Actor::UnitLink { unit: "COVE-2".into() };
    world.state.store().send_report(&unit, world.state.now(), &report, &facts, &[]).await.expect("sent");
    let page = text(get(&world.service, DECIDE, &chair).await).await;
    assert!(page.contains("1 more report, of them 1 with harm (1 injury)."), "{page}");
}

/// A report whose part and mode its unit told.
fn sent() -> Report {
    let day = "2026-03-03".parse().expect("a day");
    Report {
        part_no: Some("RC-131".into()),
        mode: Some("ZIP-1".into()),
        ..Report::bare("N-9", day, "COVE-2", "RC-100")
    }
}

#[tokio::test]
async fn a_slip_in_the_day_of_a_cut_in_is_corrected_by_who_may_record_it_and_journalled() {
    let world = World::new().await;
    let (engineer, chair) = (world.sign_in("fell").await, world.sign_in("skerry").await);
    world.submitted(&engineer).await;
    world.decide(&chair, &format!("disposition=approve&reason=enough{SIGNED}")).await;
    let lots = "lot_no,part_no,revision,maker,made_on\nZ-7,RC-131,B,Harbour Loft,2026-02-20\n";
    world.bring_in(&[("lots.csv", lots)]).await;
    let (cut_in, correct) = ("/changes/2026-001/cut-in", "/changes/2026-001/cut-in/correct");
    assert_eq!(get(&world.service, correct, &engineer).await.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let slip = text(post(&world.service, cut_in, &engineer, "lot=Z-7&day=2026-02-19").await).await;
    assert!(slip.contains("Lot Z-7 was made on 20 Feb 2026, so it was not cut in on 19 Feb 2026."), "{slip}");
    let kept = post(&world.service, cut_in, &engineer, "lot=Z-7&day=2026-02-20").await;
    assert_eq!(kept.status(), StatusCode::SEE_OTHER);
    let sheet = text(get(&world.service, "/changes/2026-001", &engineer).await).await;
    assert!(sheet.contains(correct), "{sheet}");
    for wrong in [
        "cut_in_on=2026-03-05&reason=a+slip",
        "cut_in_on=2026-02-27&reason=",
        "cut_in_on=2020-01-01&reason=x",
    ] {
        let refused = post(&world.service, correct, &engineer, wrong).await;
        assert_eq!(refused.status(), StatusCode::UNPROCESSABLE_ENTITY, "{wrong}");
    }
    let right = "cut_in_on=2026-02-27&reason=the+delivery+note+has+the+27th";
    assert_eq!(post(&world.service, correct, &chair, right).await.status(), StatusCode::FORBIDDEN);
    let sent = post(&world.service, correct, &engineer, right).await;
    assert_eq!(sent.headers()[header::LOCATION], "/changes/2026-001#effectivity");
    let sheet = text(get(&world.service, "/changes/2026-001", &engineer).await).await;
    assert!(sheet.contains("27 Feb 2026") && !sheet.contains("20 Feb 2026"), "{sheet}");
    let filter = JournalFilter { key: Some("2026-001".into()), ..JournalFilter::default() };
    let entries = world.state.store().journal(&filter, Page::first(1)).await.expect("read");
    assert_eq!(entries[0].act, "correct cut-in");
}

#[tokio::test]
async fn a_proved_change_waits_for_the_owner_of_its_recurrence_until_that_is_settled() {
    let world = World::new().await;
    let (engineer, chair) = (world.sign_in("fell").await, world.sign_in("skerry").await);
    world.bring_in_a_change_that_worked().await;
    post(&world.service, "/changes/CH-1/conclude", &engineer, "to=proved").await;
    assert_eq!(world.state_of("CH-1").await, "proved");
    let status = text(get(&world.service, "/status", &chair).await).await;
    for words in [
        "Waiting for the owner of the recurrence: the recurrence to be settled",
        "Settle the recurrence of front slide fastener: ",
        "nobody yet",
    ] {
        assert!(status.contains(words), "{words}: {status}");
    }
    post(&world.service, "/recurrences/RC-131/ZIP-1/take-up", &engineer, "").await;
    let status = text(get(&world.service, "/status", &chair).await).await;
    assert!(status.contains("FELL") && !status.contains("nobody yet"), "{status}");
    let (own, other) = (
        text(get(&world.service, "/", &engineer).await).await,
        text(get(&world.service, "/", &chair).await).await,
    );
    let settle = r#"href="/recurrences/RC-131/ZIP-1/settle">Settle the recurrence of front slide fastener"#;
    assert!(own.contains(settle) && own.contains("Change CH-1 against it is proved."), "{own}");
    assert!(!other.contains("Settle the recurrence"), "{other}");
}
