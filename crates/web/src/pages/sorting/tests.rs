//! Sorting, tried through the whole service.

use axum::Router;
use axum::http::StatusCode;
use domain::handling::ReportState;
use domain::permission::{Actor, Role};
use store::{JournalFilter, Page as Rows, ReportFile};

use crate::state::AppState;
use crate::testing::books::{bring_in, leads_to, link, send, signed_in, three_answers};
use crate::testing::small_books::take_in;
use crate::testing::{get, post, service, state, text};

/// A service with two reports of one crew that wait, an engineer's cookie, and the references in the queue's order.
async fn bench() -> (AppState, Router, String, Vec<String>) {
    let state = state().await;
    bring_in(&state).await;
    let form = format!("/report/{}", link(&state, "COVE-2").await);
    let service = service(&state);
    for key in ['a', 'b'] {
        let mut answers = three_answers(key);
        answers.extend([("lot_known", "read".to_owned()), ("lot_text", "TB-O418".to_owned())]);
        answers.push(("size", "M".to_owned()));
        send(&service, &form, "", &answers, &[]).await;
    }
    let fell = signed_in(&state, &service, "fell", Role::Engineer, None).await;
    let waiting = state.store().waiting_reports(Rows::first(9)).await.unwrap();
    (state, service, fell, waiting.into_iter().map(|line| line.report.report_ref).collect())
}

async fn file(state: &AppState, report_ref: &str) -> ReportFile {
    state.store().find_report_file(report_ref).await.unwrap().unwrap()
}

/// A form as the sheet that stands now would send it.
async fn on_what_stands(state: &AppState, report_ref: &str, form: &str) -> String {
    format!("{form}&shown={}", file(state, report_ref).await.shown)
}

const DECISION: &str = "part=RC-131&mode=ZIP-1&lot=TB-0418&relevant=yes&chargeable=yes&cause=salt";

#[tokio::test]
async fn the_sheet_marks_the_words_and_offers_modes_and_lots() {
    let (_, service, fell, queue) = bench().await;
    let page = text(get(&service, &super::of(&queue[0]), &fell).await).await;
    assert!(page.contains("<mark>zipper split</mark>"), "{page}");
    assert!(page.contains(r#"data-part="RC-131" data-mode="ZIP-1""#), "{page}");
    // O and 0 look alike; the other lot differs in two signs and was issued to another unit.
    assert!(page.contains("as the label reads, held by the unit that day"), "{page}");
    assert!(!page.contains(r#"data-lot="TB-0481""#), "seven signs may differ in one only: {page}");
}

#[tokio::test]
async fn what_was_sorted_is_learned_from() {
    let state = state().await;
    bring_in(&state).await;
    let form = format!("/report/{}", link(&state, "COVE-2").await);
    let service = service(&state);
    for key in ['a', 'b'] {
        let mut answers = three_answers(key);
        answers.retain(|(field, _)| *field != "story");
        answers.push(("story", "gave way on Tuesday evening beside the pier".to_owned()));
        send(&service, &form, "", &answers, &[]).await;
    }
    let fell = signed_in(&state, &service, "fell", Role::Engineer, None).await;
    let waiting = state.store().waiting_reports(Rows::first(9)).await.unwrap();
    let (first, second) = (&waiting[0].report.report_ref, &waiting[1].report.report_ref);
    let before = text(get(&service, &super::of(second), &fell).await).await;
    assert!(before.contains("What is sorted is learned behind this page"), "{before}");
    post(&service, &super::of(first), &fell, "part=RC-131&mode=ZIP-1&relevant=yes&chargeable=yes").await;
    // Reading the sheet starts the lesson; the next reader has its fruit.
    get(&service, &super::of(second), &fell).await;
    state.school().break_time().await;
    let after = text(get(&service, &super::of(second), &fell).await).await;
    assert!(after.contains("Learned from 1 confirmed report,"), "{after}");
    assert!(after.contains(r#"data-key="1" data-part="RC-131" data-mode="ZIP-1""#), "{after}");
}

#[tokio::test]
async fn a_suggestion_fills_the_form_and_keeps_nothing() {
    let (state, service, fell, queue) = bench().await;
    let filled = format!("{}?part=RC-131&mode=ZIP-1&lot=TB-0418", super::of(&queue[0]));
    let page = text(get(&service, &filled, &fell).await).await;
    assert!(
        page.contains(r#"<option value="ZIP-1" selected>"#) && page.contains(r#"value="TB-0418""#),
        "{page}"
    );
    assert_eq!(file(&state, &queue[0]).await.handling.state, ReportState::Received);
}

#[tokio::test]
async fn a_sorted_report_leads_to_the_next_and_is_taken_back_from_there() {
    let (state, service, fell, queue) = bench().await;
    let sorted = post(&service, &super::of(&queue[0]), &fell, DECISION).await;
    let first = file(&state, &queue[0]).await;
    let onward = format!("{}?done={}&shown={}", super::of(&queue[1]), queue[0], first.shown);
    assert_eq!(leads_to(&sorted), onward);
    assert_eq!((first.handling.state, first.report.mode.as_deref()), (ReportState::Sorted, Some("ZIP-1")));
    assert_eq!(first.report.lot_text.as_deref(), Some("TB-0418"));

    let next = text(get(&service, &leads_to(&sorted), &fell).await).await;
    let undo = format!("{}/undo", super::of(&queue[0]));
    assert!(next.contains(&undo) && next.contains("Told in like words"), "{next}");
    assert!(next.contains("1 earlier report"), "{next}");
    let seen = format!(r#"{undo}"><input type="hidden" name="shown" value="{}">"#, first.shown);
    assert!(next.contains(&seen), "{next}");
    let form = format!("shown={}", first.shown);
    for _click in 0..2 {
        assert_eq!(leads_to(&post(&service, &undo, &fell, &form).await), super::of(&queue[0]));
    }
    let back = file(&state, &queue[0]).await;
    assert_eq!(
        (back.handling.state, back.report.lot_text.as_deref()),
        (ReportState::Received, Some("TB-O418"))
    );
    let nothing = post(&service, &undo, &fell, &on_what_stands(&state, &queue[0], "").await).await;
    assert_eq!(nothing.status(), StatusCode::UNPROCESSABLE_ENTITY);

    for report_ref in &queue {
        let form = on_what_stands(&state, report_ref, DECISION).await;
        post(&service, &super::of(report_ref), &fell, &form).await;
    }
    let form = on_what_stands(&state, &queue[0], DECISION).await;
    assert_eq!(leads_to(&post(&service, &super::of(&queue[0]), &fell, &form).await), "/sorting");
}

#[tokio::test]
async fn the_sheet_says_until_when_somebody_has_to_look_at_a_report_of_danger() {
    let (state, service, fell, queue) = bench().await;
    let form = format!("/report/{}", link(&state, "COVE-2").await);
    let mut answers = three_answers('c');
    answers.retain(|(field, _)| *field != "harm");
    answers.push(("harm", "near_miss".to_owned()));
    send(&service, &form, "", &answers, &[]).await;
    let first = state.store().waiting_reports(Rows::first(1)).await.unwrap().remove(0).report.report_ref;
    assert!(!queue.contains(&first), "danger goes first");
    let says = async |report_ref: &str| {
        text(get(&service, &super::of(report_ref), &fell).await).await.contains("Look at it by ")
    };
    assert!(says(&first).await && !says(&queue[0]).await);
    let form = on_what_stands(&state, &first, DECISION).await;
    post(&service, &super::of(&first), &fell, &form).await;
    assert!(!says(&first).await, "somebody has looked");
}

#[tokio::test]
async fn a_mode_of_another_kind_of_part_is_asked_about_once() {
    let (state, service, fell, queue) = bench().await;
    let form = DECISION.replace("mode=ZIP-1", "mode=QRC-1");
    let send = async |more: &str| {
        let form = on_what_stands(&state, &queue[0], &format!("{form}{more}")).await;
        post(&service, &super::of(&queue[0]), &fell, &form).await
    };
    let asked = send("").await;
    assert_eq!(asked.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let page = text(asked).await;
    assert!(
        page.contains("QRC-1 is a mode of another kind of part: Front slide fastener is of kind ZIP."),
        "{page}"
    );
    assert!(page.contains(r#"<input type="checkbox" name="sure" value="yes">"#), "{page}");
    assert_eq!(file(&state, &queue[0]).await.handling.state, ReportState::Received);
    assert_eq!(send("&sure=yes").await.status(), StatusCode::SEE_OTHER);
    assert_eq!(file(&state, &queue[0]).await.report.mode.as_deref(), Some("QRC-1"));
}

/// Under a lot of another item, or of a part, a report would count for no lot.
#[tokio::test]
async fn a_lot_of_another_item_or_of_a_part_is_asked_about_once() {
    let (state, service, fell, queue) = bench().await;
    let files = [
        ("parts.csv", "part_no,revision,name,kind\nLP-200,A,Lamp,ITEM\n"),
        (
            "lots.csv",
            "lot_no,part_no,revision,made_on,quantity\nLP-0001,LP-200,A,2025-01-15,400\nZB-0001,RC-131,A,2025-01-15,400\n",
        ),
    ];
    take_in(&state, &files).await;
    for (report_ref, lot, of) in [(&queue[0], "LP-0001", "LP-200"), (&queue[1], "ZB-0001", "RC-131")] {
        let form = DECISION.replace("TB-0418", lot);
        let send = async |more: &str| {
            let form = on_what_stands(&state, report_ref, &format!("{form}{more}")).await;
            post(&service, &super::of(report_ref), &fell, &form).await
        };
        let asked = send("").await;
        assert_eq!(asked.status(), StatusCode::UNPROCESSABLE_ENTITY);
        let page = text(asked).await;
        assert!(page.contains(&format!("{lot} is a lot of {of}, not of RC-100")), "{page}");
        assert!(page.contains(r#"<input type="checkbox" name="sure" value="yes">"#), "{page}");
        assert_eq!(file(&state, report_ref).await.handling.state, ReportState::Received);
        assert_eq!(send("&sure=yes").await.status(), StatusCode::SEE_OTHER);
        assert_eq!(file(&state, report_ref).await.report.lot_text.as_deref(), Some(lot));
    }
}

#[tokio::test]
async fn a_lot_chosen_for_a_label_that_nobody_sent_stands_beside_no_label() {
    let (state, service, fell, queue) = bench().await;
    let form = format!("/report/{}", link(&state, "COVE-2").await);
    send(&service, &form, "", &three_answers('c'), &[]).await;
    let waiting = state.store().waiting_reports(Rows::first(9)).await.unwrap();
    let mut waiting = waiting.into_iter().map(|line| line.report.report_ref);
    let unlabelled = waiting.find(|report_ref| !queue.contains(report_ref)).unwrap();
    for (report_ref, label) in [(&queue[0], Some("TB-O418")), (&unlabelled, None)] {
        let form = on_what_stands(&state, report_ref, DECISION).await;
        post(&service, &super::of(report_ref), &fell, &form).await;
        let record = text(get(&service, &format!("/reports/{report_ref}"), &fell).await).await;
        assert!(record.contains("<dt>lot label</dt><dd>TB-0418</dd>"), "{record}");
        assert_eq!(record.contains("<dt>as sent</dt>"), label.is_some(), "{record}");
        assert!(label.is_none_or(|label| record.contains(&format!("<dd>{label}</dd>"))), "{record}");
    }
}

#[tokio::test]
async fn leaving_a_report_goes_round_the_queue() {
    let (_, service, fell, queue) = bench().await;
    for (from, to) in [(0, 1), (1, 0)] {
        let next = get(&service, &format!("{}/next", super::of(&queue[from])), &fell).await;
        assert_eq!(leads_to(&next), super::of(&queue[to]));
    }
}

#[tokio::test]
async fn a_report_is_set_aside_asked_about_and_answered() {
    let (state, service, fell, queue) = bench().await;
    let at = |step: &str| format!("{}/{step}", super::of(&queue[0]));
    let asked = post(&service, &at("ask"), &fell, "ask=Which+side%3F").await;
    assert_eq!(leads_to(&asked), super::of(&queue[0]));
    assert_eq!(file(&state, &queue[0]).await.questions[0].question, "Which side?");
    assert_eq!(file(&state, &queue[0]).await.handling.state, ReportState::Asked);

    post(&service, &at("answer"), &fell, "answer=Your+stock+is+of+another+lot.").await;
    assert_eq!(file(&state, &queue[0]).await.answers[0].text, "Your stock is of another lot.");

    let other = format!("{}/aside", super::of(&queue[1]));
    post(&service, &other, &fell, "aside=a+double").await;
    let aside = file(&state, &queue[1]).await;
    assert_eq!(aside.handling.state, ReportState::SetAside);
    assert_eq!(aside.handling.set_aside_reason.as_deref(), Some("a double"));
}

#[tokio::test]
async fn an_answer_that_came_stands_above_the_report_and_in_the_queue() {
    let (state, service, fell, queue) = bench().await;
    let store = state.store();
    let ask = async |what| store.ask(&Actor::Program, state.now(), &queue[0], what).await.unwrap();
    let (side, size) = (ask("Which side?").await, ask("Which size?").await);
    store.answer_question(&Actor::Program, state.now(), side, "The <left>.").await.unwrap();
    let half = text(get(&service, "/sorting", &fell).await).await;
    assert!(half.contains("asked, no answer yet") && !half.contains("an answer came"), "{half}");
    let page = text(get(&service, &super::of(&queue[0]), &fell).await).await;
    let (answer, story) = (page.find("The &lt;left&gt;.").unwrap(), page.find("<blockquote>").unwrap());
    assert!(answer < story && page.contains("<dt>Which size?</dt><dd>no answer yet</dd>"), "{page}");
    store.answer_question(&Actor::Program, state.now(), size, "M").await.unwrap();
    let list = text(get(&service, "/sorting", &fell).await).await;
    assert_eq!(list.matches("an answer came 3 Mar 2026").count(), 1, "{list}");
}

#[tokio::test]
async fn what_is_wrong_comes_back_with_what_was_typed() {
    let (state, service, fell, queue) = bench().await;
    let address = super::of(&queue[0]);
    let half = "part=RC-131&lot=TB-0418&relevant=no&relevant_reason=&cause=salt+water";
    let refused = post(&service, &address, &fell, half).await;
    assert_eq!(refused.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let page = text(refused).await;
    for kept in [
        r#"<option value="RC-131" selected>"#,
        r#"value="salt water""#,
        r#"value="no" checked"#,
        r#"id="mode-problem""#,
    ] {
        assert!(page.contains(kept), "{kept}: {page}");
    }

    let mistyped = DECISION.replace("TB-0418", "TB-0481X");
    let refused = post(&service, &address, &fell, &mistyped).await;
    assert_eq!(refused.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let page = text(refused).await;
    assert!(page.contains(r#"id="lot-problem""#) && page.contains(r#"value="TB-0481X""#), "{page}");

    let long = "x".repeat(4001);
    for step in ["aside", "ask", "answer"] {
        let address = format!("{address}/{step}");
        let refused = post(&service, &address, &fell, &format!("{step}={long}")).await;
        assert_eq!(refused.status(), StatusCode::UNPROCESSABLE_ENTITY);
        let page = text(refused).await;
        assert!(page.contains(&long) && page.contains(&format!(r#"id="{step}-problem""#)), "{step}");
        assert_eq!(post(&service, &address, &fell, "").await.status(), StatusCode::UNPROCESSABLE_ENTITY);
    }
    assert_eq!(post(&service, &format!("{address}/burn"), &fell, "").await.status(), StatusCode::NOT_FOUND);
    let untouched = file(&state, &queue[0]).await;
    assert_eq!(untouched.handling.state, ReportState::Received);
    assert!(untouched.questions.is_empty() && untouched.answers.is_empty());
}

#[tokio::test]
async fn a_part_that_is_not_in_the_books_sorts_nothing() {
    let (state, service, fell, queue) = bench().await;
    let wrong = post(&service, &super::of(&queue[0]), &fell, "part=RC-999&mode=ZIP-1").await;
    assert_eq!(wrong.status(), StatusCode::NOT_FOUND);
    assert_eq!(file(&state, &queue[0]).await.handling.state, ReportState::Received);
}

/// A report of a mode that nothing knows would leave the queue and count nowhere.
#[tokio::test]
async fn a_mode_that_is_not_in_the_catalogue_sorts_nothing() {
    let (state, service, fell, queue) = bench().await;
    let form = on_what_stands(&state, &queue[0], &DECISION.replace("ZIP-1", "ZIP-99")).await;
    let page = text(post(&service, &super::of(&queue[0]), &fell, &form).await).await;
    assert!(page.contains("The catalogue has no such mode."), "{page}");
    assert_eq!(file(&state, &queue[0]).await.handling.state, ReportState::Received);
}

#[tokio::test]
async fn only_an_engineer_sorts() {
    let (state, service, _, queue) = bench().await;
    let board = signed_in(&state, &service, "skerry", Role::Board, None).await;
    let address = super::of(&queue[0]);
    assert_eq!(get(&service, &address, &board).await.status(), StatusCode::FORBIDDEN);
    for step in ["", "/aside", "/ask", "/answer", "/undo"] {
        let refused = post(&service, &format!("{address}{step}"), &board, DECISION).await;
        assert_eq!(refused.status(), StatusCode::FORBIDDEN, "{step}");
    }
    assert_eq!(file(&state, &queue[0]).await.handling.state, ReportState::Received);
}

#[tokio::test]
async fn of_two_engineers_on_one_sheet_the_later_one_is_told_what_the_other_decided() {
    let (state, service, fell, queue) = bench().await;
    let bight = signed_in(&state, &service, "bight", Role::Engineer, None).await;
    let address = super::of(&queue[0]);
    let sheet = text(get(&service, &address, &fell).await).await;
    assert_eq!(sheet.matches(r#"name="shown" value="0""#).count(), 4, "{sheet}");
    let first = post(&service, &address, &bight, &format!("{DECISION}&shown=0")).await;
    assert_eq!(first.status(), StatusCode::SEE_OTHER);
    let kept = file(&state, &queue[0]).await;

    let told = "BIGHT sorted this report as RC-131 / ZIP-1, 3 Mar 2026, 12:00 UTC.";
    let own = DECISION.replace("ZIP-1", "ZIP-2").replace("cause=salt", "cause=sand");
    let half = own.replace("mode=ZIP-2", "mode=");
    let seen = format!(r#"name="shown" value="{}""#, kept.shown);
    for (step, form, stays) in [
        ("", own.as_str(), r#"value="sand""#),
        ("", half.as_str(), r#"id="mode-problem""#),
        ("/aside", "aside=a+double", r#"value="a double""#),
        ("/answer", "answer=Your+stock+is+sound.", "Your stock is sound."),
        ("/undo", "", "induced by</dt><dd>salt"),
    ] {
        let late = post(&service, &format!("{address}{step}"), &fell, &format!("{form}&shown=0")).await;
        assert_eq!(late.status(), StatusCode::CONFLICT, "{step}");
        let page = text(late).await;
        for said in [told, "Nothing of yours was kept", "mode</dt><dd>ZIP-1", &seen, stays] {
            assert!(page.contains(said), "{step}: {said} in {page}");
        }
        assert!(!page.contains(r#"name="shown" value="0""#), "{step}: {page}");
        assert_eq!(file(&state, &queue[0]).await, kept, "{step}");
    }

    // Having looked again, what is sent a second time is meant.
    let again = post(&service, &address, &fell, &format!("{own}&shown={}", kept.shown)).await;
    assert_eq!(again.status(), StatusCode::SEE_OTHER);
    assert_eq!(file(&state, &queue[0]).await.report.mode.as_deref(), Some("ZIP-2"));
    let back = post(&service, &format!("{address}/undo"), &bight, &format!("shown={}", kept.shown)).await;
    assert_eq!(back.status(), StatusCode::CONFLICT, "what Bight decided is not what would be taken back");
    assert!(text(back).await.contains("FELL sorted this report as RC-131 / ZIP-2"));
}

#[tokio::test]
async fn two_clicks_decide_once_and_lead_onward() {
    let (state, service, fell, queue) = bench().await;
    let address = super::of(&queue[0]);
    for (step, form) in [("", DECISION), ("/answer", "answer=It+is+changed."), ("/aside", "aside=a+double")] {
        let form = on_what_stands(&state, &queue[0], form).await;
        for _click in 0..2 {
            let done = post(&service, &format!("{address}{step}"), &fell, &form).await;
            assert_eq!(done.status(), StatusCode::SEE_OTHER, "{step}");
        }
    }
    assert_eq!(file(&state, &queue[0]).await.answers.len(), 1);
    let filter = JournalFilter { key: Some(queue[0].clone()), ..JournalFilter::default() };
    let entries = state.store().journal(&filter, Rows::first(20)).await.unwrap();
    for act in ["sort", "answer", "set aside"] {
        assert_eq!(entries.iter().filter(|entry| entry.act == act).count(), 1, "{act}");
    }
}

#[tokio::test]
async fn two_clicks_ask_the_unit_once() {
    let (state, service, fell, queue) = bench().await;
    let address = format!("{}/ask", super::of(&queue[0]));
    for _click in 0..2 {
        let asked = post(&service, &address, &fell, "ask=Which+side%3F&shown=0").await;
        assert_eq!(leads_to(&asked), super::of(&queue[0]));
    }
    let questions = file(&state, &queue[0]).await.questions;
    assert_eq!(questions.len(), 1, "{questions:?}");
    post(&service, &address, &fell, "ask=Which+size%3F&shown=0").await;
    assert_eq!(file(&state, &queue[0]).await.questions.len(), 2, "another question is asked beside it");
}
