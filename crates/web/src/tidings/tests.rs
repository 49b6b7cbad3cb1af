//! From the address on the form to the mail, the link in it, and its end.

use axum::Router;
use axum::http::StatusCode;
use chrono::Duration;
use domain::permission::{Actor, Role};
use store::{NewMail, Page as Rows};

use super::queue;
use crate::clock::Clock;
use crate::mail::{Mailer, deliver};
use crate::state::AppState;
use crate::testing::books::{bring_in, link, send, signed_in, three_answers};
use crate::testing::{get, noon, post, service, state, text};

const ADDRESS: &str = "oda.fell@cove.example";

/// A service with a report of each key that came with an address, and an engineer's cookie.
async fn told(keys: &[char]) -> (AppState, Router, String, Vec<String>) {
    let state = state().await;
    state.settle_base_url("https://rescue.example".into());
    bring_in(&state).await;
    let form = format!("/report/{}", link(&state, "COVE-2").await);
    let service = service(&state);
    for key in keys {
        let mut answers = three_answers(*key);
        answers.push(("contact", ADDRESS.to_owned()));
        assert_eq!(send(&service, &form, "", &answers, &[]).await.status(), StatusCode::SEE_OTHER);
    }
    let fell = signed_in(&state, &service, "fell", Role::Engineer, None).await;
    let waiting = state.store().waiting_reports(Rows::first(9)).await.unwrap();
    (state, service, fell, waiting.into_iter().map(|line| line.report.report_ref).collect())
}

const DECISION: &str = "part=RC-131&mode=ZIP-1&lot=&relevant=yes&chargeable=yes&cause=salt";

async fn waiting(state: &AppState) -> Vec<NewMail> {
    state.store().take_mail(state.now(), 9).await.unwrap().into_iter().map(|one| one.mail).collect()
}

/// The secrets behind a word in a mail's addresses.
fn secrets(mail: &NewMail, word: &str) -> Vec<String> {
    let before = format!("https://rescue.example/{word}/");
    mail.text.split(&before).skip(1).map(|after| after.chars().take(64).collect()).collect()
}

#[tokio::test]
async fn one_mail_a_day_tells_everything_new_of_all_reports_of_an_address() {
    let (state, service, fell, reports) = told(&['a', 'b']).await;
    assert_eq!(queue(&state).await.unwrap(), 0, "that it arrived, the receipt says");
    for report in &reports {
        post(&service, &format!("/sorting/{report}"), &fell, DECISION).await;
    }
    assert_eq!((queue(&state).await.unwrap(), queue(&state).await.unwrap()), (1, 0));
    let mails = waiting(&state).await;
    assert_eq!((mails.len(), mails[0].to.as_str()), (1, ADDRESS));
    let said = &mails[0].text;
    for report in &reports {
        assert!(
            said.contains(&format!("Report {report}")) && mails[0].subject.contains(report.as_str()),
            "{said}"
        );
    }
    assert!(said.contains("took it for this: Front slide fastener, chain split"), "{said}");
    assert!(said.contains("It is one of 2 reports of the same thing."), "{said}");

    // More on the same day waits for the next one, and what was told isn't told again.
    let shown = state.store().find_report_file(&reports[0]).await.unwrap().unwrap().shown;
    let answer = format!("shown={shown}&answer=A+weak+slider.");
    post(&service, &format!("/sorting/{}/answer", reports[0]), &fell, &answer).await;
    assert_eq!(queue(&state).await.unwrap(), 0);
    let next_day = Clock::standing_at(noon() + Duration::days(1));
    let later = AppState::with_clock(state.config().clone(), next_day).await.unwrap();
    later.settle_base_url("https://rescue.example".into());
    assert_eq!(queue(&later).await.unwrap(), 1);
    let mails = later.store().take_mail(later.now(), 9).await.unwrap();
    let said = &mails.last().unwrap().mail.text;
    assert!(said.contains("Our answer: A weak slider.") && !said.contains("took it for"), "{said}");
    assert!(!said.contains(&reports[1]), "nothing is new of the other: {said}");
}

#[tokio::test]
async fn a_question_goes_at_once_and_its_link_opens_the_receipt_where_it_is_answered() {
    let (state, service, fell, reports) = told(&['a']).await;
    post(&service, &format!("/sorting/{}/ask", reports[0]), &fell, "ask=Which+lot%3F").await;
    let mails = waiting(&state).await;
    assert_eq!(mails.len(), 1);
    assert!(mails[0].text.contains("We have a question for you: Which lot?"), "{}", mails[0].text);
    let follow = &secrets(&mails[0], "follow")[0];
    let receipt = text(get(&service, &format!("/follow/{follow}"), "").await).await;
    assert!(receipt.contains("Which lot?") && receipt.contains(&reports[0]), "{receipt}");
    assert_eq!(queue(&state).await.unwrap(), 0, "it was told");
    let stop = &secrets(&mails[0], "stop")[0];
    assert_eq!(get(&service, &format!("/follow/{stop}"), "").await.status(), StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn a_look_stops_nothing_a_button_or_one_click_does() {
    for one_click in [false, true] {
        let (state, service, fell, reports) = told(&['a']).await;
        post(&service, &format!("/sorting/{}", reports[0]), &fell, DECISION).await;
        queue(&state).await.unwrap();
        let mail = waiting(&state).await.remove(0);
        let stop = format!("/stop/{}", secrets(&mail, "stop")[0]);
        assert_eq!(mail.stop_url, Some(format!("https://rescue.example{stop}")));
        let page = text(get(&service, &stop, "").await).await;
        assert!(page.contains("Stop the mail"), "{page}");
        assert_eq!(state.store().contacts_to_tell().await.unwrap().len(), 1);
        let sent = if one_click { "List-Unsubscribe=One-Click" } else { "" };
        let done = post(&service, &stop, "", sent).await;
        let expected = if one_click { StatusCode::OK } else { StatusCode::SEE_OTHER };
        assert_eq!(done.status(), expected);
        assert!(text(get(&service, &stop, "").await).await.contains("It is stopped."));
        assert!(state.store().contacts_to_tell().await.unwrap().is_empty());
        let sheet = text(get(&service, &format!("/reports/{}", reports[0]), &fell).await).await;
        assert!(sheet.contains(ADDRESS) && sheet.contains("stopped by its reader"), "{sheet}");
    }
    let (_, service, ..) = told(&[]).await;
    let nowhere = format!("/stop/{}", "0".repeat(64));
    assert_eq!(post(&service, &nowhere, "", "").await.status(), StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn a_sent_mail_has_the_headers_that_stop_it_and_leaves_no_address_behind() {
    let (state, service, fell, reports) = told(&['a']).await;
    post(&service, &format!("/sorting/{}", reports[0]), &fell, DECISION).await;
    queue(&state).await.unwrap();
    let holm = signed_in(&state, &service, "holm", Role::Administrator, None).await;
    let how_it_fares = async || text(get(&service, "/digest", &holm).await).await;
    let waits = how_it_fares().await;
    let folder = tempfile::tempdir().unwrap();
    let mailer = Mailer::into_folder(folder.path(), "bartack@rescue.example").unwrap();
    assert_eq!(deliver(&state, &mailer).await.unwrap(), 1);
    for page in [waits, how_it_fares().await] {
        assert!(page.contains("(a reporter)"), "{page}");
        assert!(!page.contains(ADDRESS) && !page.contains(&reports[0]), "who reported what: {page}");
    }
    let file = std::fs::read_dir(folder.path()).unwrap().next().unwrap().unwrap().path();
    let mail = std::fs::read_to_string(file).unwrap();
    let head = mail.split("\r\n\r\n").next().unwrap();
    let unfolded = head.replace("\r\n ", " ");
    assert!(unfolded.contains("List-Unsubscribe: <https://rescue.example/stop/"), "{head}");
    assert!(unfolded.contains("List-Unsubscribe-Post: List-Unsubscribe=One-Click"), "{head}");
    assert!(unfolded.contains("Auto-Submitted: auto-generated"), "{head}");
    let fate = &state.store().latest_mail(1).await.unwrap()[0];
    assert_eq!((fate.to.as_str(), fate.sent_at), ("", Some(state.now())));
}

#[tokio::test]
async fn line_breaks_in_subjects_and_names_make_no_headers() {
    let state = state().await;
    let folder = tempfile::tempdir().unwrap();
    let mailer = Mailer::into_folder(folder.path(), "bartack@rescue.example").unwrap();
    let mail = |key: &str, to: &str, subject: &str, stop: &str| NewMail {
        key: key.into(),
        to: to.into(),
        subject: subject.into(),
        text: "x".into(),
        html: "x".into(),
        is_personal: true,
        stop_url: Some(stop.into()),
    };
    let bad = "x\r\nBcc: all@rescue.example\r\n\r\nbody";
    let mails = [
        mail("subject", "oda@rescue.example", bad, "https://rescue.example/stop/x"),
        mail("header", "oda@rescue.example", "x", &format!("https://rescue.example/stop/{bad}")),
        mail("name", &format!("Oda {bad} <oda@rescue.example>"), "x", "x"),
        mail("address", &format!("oda@rescue.example{bad}"), "x", "x"),
    ];
    state.store().queue_mail(&Actor::Program, state.now(), &mails).await.unwrap();
    deliver(&state, &mailer).await.unwrap();
    let files: Vec<_> = std::fs::read_dir(folder.path()).unwrap().map(|file| file.unwrap().path()).collect();
    assert!(!files.is_empty(), "the subject at least is sent, with its breaks made harmless");
    for file in files {
        let mail = std::fs::read_to_string(file).unwrap();
        let head = mail.split("\r\n\r\n").next().unwrap();
        assert!(!head.lines().any(|line| line.to_lowercase().starts_with("bcc")), "{head}");
        assert!(head.contains("To: ") && head.contains("MIME-Version"), "the head is whole: {head}");
    }
}

#[tokio::test]
async fn the_mail_speaks_the_language_of_the_form() {
    let state = state().await;
    bring_in(&state).await;
    let form = format!("/report/{}", link(&state, "COVE-2").await);
    let service = service(&state);
    let mut answers = three_answers('a');
    answers.push(("contact", ADDRESS.to_owned()));
    send(&service, &form, "language=de", &answers, &[]).await;
    let fell = signed_in(&state, &service, "fell", Role::Engineer, None).await;
    let report = state.store().waiting_reports(Rows::first(1)).await.unwrap().remove(0).report.report_ref;
    post(&service, &format!("/sorting/{report}/ask"), &fell, "ask=Welches+Los%3F").await;
    let mail = waiting(&state).await.remove(0);
    assert!(mail.text.contains("Wir haben eine Frage an Sie: Welches Los?"), "{}", mail.text);
    assert!(mail.subject.contains("Was aus Ihrer Meldung"), "{}", mail.subject);
}

#[tokio::test]
async fn only_engineers_see_the_address_and_hold_it() {
    let (state, service, fell, reports) = told(&['a']).await;
    let sheet = format!("/reports/{}", reports[0]);
    let page = text(get(&service, &sheet, &fell).await).await;
    assert!(page.contains(ADDRESS) && page.contains("It is deleted after 30 Aug 2026"), "{page}");
    let brook = signed_in(&state, &service, "brook", Role::Board, None).await;
    assert!(!text(get(&service, &sheet, &brook).await).await.contains("cove.example"));
    assert_eq!(
        post(&service, &format!("{sheet}/hold"), &brook, "reason=x").await.status(),
        StatusCode::FORBIDDEN
    );

    let empty = post(&service, &format!("{sheet}/hold"), &fell, "reason=").await;
    assert_eq!(empty.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let held = post(&service, &format!("{sheet}/hold"), &fell, "reason=An+inquiry+is+open").await;
    assert_eq!(held.status(), StatusCode::SEE_OTHER);
    let page = text(get(&service, &sheet, &fell).await).await;
    assert!(page.contains("for as long as the hold stands") && page.contains("An inquiry is open"), "{page}");
    let lifted = post(&service, &format!("{sheet}/lift"), &fell, "reason=It+is+closed").await;
    assert_eq!(lifted.status(), StatusCode::SEE_OTHER);
    assert!(text(get(&service, &sheet, &fell).await).await.contains("It is closed"));
}
