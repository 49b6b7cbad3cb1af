//! The digest on small books: what it says, in both forms, and that nobody gets it twice.

use chrono::{DateTime, Utc};
use domain::permission::{Actor, Role};

use super::{Digest, queue, week_due};
use crate::mail::{Mailer, deliver};
use crate::testing::{cookie, get, person, post, service, small_books, state, text};

#[test]
fn a_week_is_due_from_mondays_hour_on() {
    let at = |text: &str| text.parse::<DateTime<Utc>>().unwrap();
    assert_eq!(week_due(at("2026-03-02T05:59:00Z")), None);
    assert_eq!(week_due(at("2026-03-02T06:00:00Z")).as_deref(), Some("2026-W10"));
    assert_eq!(week_due(at("2026-03-08T23:00:00Z")).as_deref(), Some("2026-W10"));
    // The first days of January can belong to the last week of the year before (ISO 8601).
    assert_eq!(week_due(at("2027-01-01T12:00:00Z")).as_deref(), Some("2026-W53"));
}

#[tokio::test]
async fn who_asked_for_it_gets_it_once_as_text_and_as_a_page() {
    let state = state().await;
    small_books::bring_in(&state).await;
    let chair = person(&state, "skerry", Role::Board, "seven dry karabiners").await;
    let service = service(&state);
    let sid = cookie(&post(&service, "/sign-in", "", "name=skerry&password=seven+dry+karabiners").await);
    let wrong = post(&service, "/digest", &sid, "address=skerry").await;
    assert_eq!(wrong.status(), axum::http::StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(queue(&state).await.unwrap(), 0, "nobody asked for it");
    let set = post(&service, "/digest", &sid, "address=jon%40rescue.example").await;
    assert_eq!(set.status(), axum::http::StatusCode::SEE_OTHER);
    let page = text(get(&service, "/digest", &sid).await).await;
    assert!(page.contains("jon@rescue.example") && page.contains("CH-1 &#x3D;Coated slider"), "{page}");

    let digest = Digest::of(&state).await.unwrap();
    let mail = digest.mail(&state, "k".into(), "jon@rescue.example".into()).unwrap();
    assert!(mail.text.contains("CH-1 =Coated slider") && !mail.text.contains("&#"), "{}", mail.text);
    assert!(mail.html.contains("/changes/CH-1") && mail.html.contains("Waiting for the units&#x27; reports"));

    assert_eq!((queue(&state).await.unwrap(), queue(&state).await.unwrap()), (1, 0));
    let folder = tempfile::tempdir().unwrap();
    let mailer = Mailer::into_folder(folder.path(), "bartack@rescue.example").unwrap();
    assert_eq!(deliver(&state, &mailer).await.unwrap(), 1);
    assert_eq!(deliver(&state, &mailer).await.unwrap(), 0, "it was sent");
    let files: Vec<_> = std::fs::read_dir(folder.path()).unwrap().map(|file| file.unwrap().path()).collect();
    assert_eq!(files.len(), 1);
    let sent = std::fs::read_to_string(&files[0]).unwrap();
    assert!(sent.contains("To: jon@rescue.example") && sent.contains("multipart/alternative"), "{sent}");
    let fate = &state.store().latest_mail(1).await.unwrap()[0];
    assert_eq!((fate.sent_at, fate.last_error.as_deref()), (Some(state.now()), None));

    let none = post(&service, "/digest", &sid, "address=").await;
    assert_eq!(none.status(), axum::http::StatusCode::SEE_OTHER);
    assert!(state.store().digest_readers().await.unwrap().is_empty());
    assert!(state.store().find_user(chair).await.unwrap().is_some());
}

#[tokio::test]
async fn a_mail_that_no_server_takes_stays_with_its_reason() {
    let state = state().await;
    let mail = store::NewMail {
        key: "k".into(),
        to: "nobody at all".into(),
        subject: "x".into(),
        text: "x".into(),
        html: "x".into(),
        is_personal: false,
        stop_url: None,
    };
    state.store().queue_mail(&Actor::Program, state.now(), &[mail]).await.unwrap();
    let folder = tempfile::tempdir().unwrap();
    let mailer = Mailer::into_folder(folder.path(), "bartack@rescue.example").unwrap();
    assert_eq!(deliver(&state, &mailer).await.unwrap(), 0);
    let fate = &state.store().latest_mail(1).await.unwrap()[0];
    assert!(fate.sent_at.is_none() && fate.last_error.is_some(), "{fate:?}");
}
