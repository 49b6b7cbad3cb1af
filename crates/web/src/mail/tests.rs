//! What goes first, and that nothing slow stands before it.

use std::fs;
use std::path::Path;
use std::time::Duration;

use domain::permission::Actor;
use store::NewMail;

use super::{Mailer, deliver, run};
use crate::clock::Clock;
use crate::config::Config;
use crate::state::AppState;
use crate::testing::{noon, small_books, state};

async fn queue(state: &AppState, keys: &[String]) {
    let mail = |key: &String| NewMail {
        key: key.clone(),
        to: "oda@rescue.example".into(),
        subject: key.clone(),
        text: "x".into(),
        html: "x".into(),
        is_personal: false,
        stop_url: None,
    };
    let mails: Vec<NewMail> = keys.iter().map(mail).collect();
    state.store().queue_mail(&Actor::Program, state.now(), &mails).await.unwrap();
}

fn files(folder: &Path) -> usize {
    fs::read_dir(folder).unwrap().count()
}

#[tokio::test]
async fn everything_that_waits_goes_in_one_round_and_each_mail_has_a_name_of_its_own() {
    let state = state().await;
    queue(&state, &(0..50).map(|n| format!("digest 2026-W10 {n}")).collect::<Vec<_>>()).await;
    let folder = tempfile::tempdir().unwrap();
    let mailer = Mailer::into_folder(folder.path(), "Bartack <bartack@rescue.example>").unwrap();
    assert_eq!(deliver(&state, &mailer).await.unwrap(), 50);
    assert_eq!(files(folder.path()), 50);
    let id = |mail: String| {
        let mail = mail.replace("\r\n ", " ");
        let id = mail.lines().find_map(|line| line.strip_prefix("Message-ID: <")).unwrap().to_owned();
        assert!(id.ends_with("@rescue.example>"), "{id}");
        id
    };
    let mails = fs::read_dir(folder.path()).unwrap();
    let ids: std::collections::BTreeSet<String> =
        mails.map(|file| id(fs::read_to_string(file.unwrap().path()).unwrap())).collect();
    assert_eq!(ids.len(), 50);
}

#[tokio::test]
async fn an_alarm_waits_for_no_mailed_photograph() {
    let [data, mailbox, sent] = [(), (), ()].map(|()| tempfile::tempdir().unwrap());
    let at = |folder: &tempfile::TempDir| folder.path().to_str().unwrap().to_owned();
    let (its_data, its_mailbox) = (at(&data), at(&mailbox));
    let config = Config::read(&|name| match name {
        "BARTACK_DATA" => Some(its_data.clone()),
        "BARTACK_MAILBOX" => Some(its_mailbox.clone()),
        _ => None,
    });
    let state = AppState::with_clock(config.unwrap(), Clock::standing_at(noon())).await.unwrap();
    small_books::bring_in(&state).await;
    // A mailed picture waits for a place that doesn't come free, and the look into the mailbox with it.
    let places = state.album().take_all_places().await;
    let letter = "From: a@b.example\r\nSubject: zip\r\nContent-Type: multipart/mixed; boundary=b\r\n\r\n\
                  --b\r\nContent-Type: image/png\r\nContent-Transfer-Encoding: base64\r\n\r\nAAAA\r\n--b--\r\n";
    fs::write(mailbox.path().join("a.eml"), letter).unwrap();
    let mailer = Mailer::into_folder(sent.path(), "bartack@rescue.example").unwrap();
    queue(&state, &["alarm N-1 3".to_owned()]).await;
    let running = tokio::spawn(run(state.clone(), mailer));
    let gone = async {
        while files(sent.path()) == 0 {
            tokio::task::yield_now().await;
        }
    };
    // Only that a failure ends: it is sent as soon as the program runs, or never.
    tokio::time::timeout(Duration::from_mins(2), gone).await.expect("it is sent");
    running.abort();
    drop(places);
}
