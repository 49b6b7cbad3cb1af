//! Mails that are reports, mails that wait, mails that are none, and mails that are meant to hurt.

use std::fs;
use std::path::Path;

use chrono::{NaiveDate, TimeDelta};
use domain::mail_address::MailAddress;
use domain::permission::{Actor, Role};
use domain::unit::{Unit, UnitKind};
use store::{JournalFilter, Page};

use super::letter::open;
use super::{Looked, look};
use crate::clock::Clock;
use crate::state::AppState;
use crate::testing::{cookie, get, noon, person, post, service, small_books, state, text};

const PLAIN: &str = "From: Cove crew <Crew@cove.example>\r\nTo: reports@rescue.example\r\nSubject: zip gone\r\n\
                     Message-ID: <1@cove.example>\r\nContent-Type: text/plain; charset=utf-8\r\n\r\n\
                     The zip of RC-100 split.\r\n> what happened?\r\n-- \r\nTarn\r\n";

async fn add_unit(state: &AppState, code: &str) {
    let unit = Unit {
        unit: code.into(),
        name: None,
        kind: UnitKind::Wearing,
        parent_unit: None,
        contact_email: Some("crew@cove.example".into()),
    };
    state.store().add_unit(&Actor::Program, state.now(), &unit).await.unwrap();
}

/// Books in which CREW-1 has a mail address.
async fn books() -> AppState {
    let state = state().await;
    small_books::bring_in(&state).await;
    add_unit(&state, "CREW-1").await;
    state
}

async fn looked(state: &AppState, folder: &Path) -> Looked {
    look(state, folder).await.unwrap()
}

fn names(folder: &Path) -> Vec<String> {
    let Ok(entries) = fs::read_dir(folder) else { return Vec::new() };
    let mut names: Vec<String> =
        entries.map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned()).collect();
    names.sort();
    names
}

fn with_photos(photos: usize) -> Vec<u8> {
    let mut mail = PLAIN
        .replace("<1@cove", "<2@cove")
        .replace("Content-Type: text/plain; charset=utf-8", "Content-Type: multipart/mixed; boundary=b")
        .replace("\r\n\r\nThe zip", "\r\n\r\n--b\r\nContent-Type: text/plain\r\n\r\nThe zip");
    let mut png = std::io::Cursor::new(Vec::new());
    image::RgbImage::new(8, 8).write_to(&mut png, image::ImageFormat::Png).unwrap();
    let encoded = base64(&png.into_inner());
    for _ in 0..photos {
        let part = format!(
            "--b\r\nContent-Type: image/png\r\nContent-Transfer-Encoding: base64\r\n\
             Content-Disposition: attachment; filename=\"../../x.png\"\r\n\r\n{encoded}\r\n"
        );
        mail.push_str(&part);
    }
    mail.push_str("--b--\r\n");
    mail.into_bytes()
}

fn base64(bytes: &[u8]) -> String {
    const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut text = String::new();
    for chunk in bytes.chunks(3) {
        let three = [0, 1, 2].map(|at| u32::from(chunk.get(at).copied().unwrap_or(0)));
        let bits = three[0] << 16 | three[1] << 8 | three[2];
        for at in 0..4 {
            let letter = LETTERS[(bits >> (18 - 6 * at) & 63) as usize];
            text.push(if at <= chunk.len() { char::from(letter) } else { '=' });
        }
    }
    text
}

#[tokio::test]
async fn a_mail_from_a_units_address_is_a_report_once_and_is_answered_once() {
    let state = books().await;
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path();
    fs::write(path.join("a.eml"), PLAIN).unwrap();
    fs::write(path.join("notes.txt"), "no mail").unwrap();
    let waiting = state.store().count_waiting_reports().await.unwrap();
    assert_eq!(looked(&state, path).await, Looked { taken: 1, ..Looked::default() });
    assert_eq!(
        (names(path), names(&path.join("taken"))),
        (vec!["notes.txt".into(), "taken".into()], vec!["a.eml".to_owned()])
    );
    fs::write(path.join("a.eml"), PLAIN).unwrap();
    assert_eq!(looked(&state, path).await, Looked { known: 1, ..Looked::default() });
    assert_eq!(names(&path.join("taken")), ["1-a.eml", "a.eml"]);

    assert_eq!(state.store().count_waiting_reports().await.unwrap(), waiting + 1);
    let mail = state.store().take_mail(state.now(), 9).await.unwrap();
    assert_eq!(mail.len(), 1);
    let mail = &mail[0].mail;
    assert_eq!(mail.to, "crew@cove.example");
    let code = mail.subject.strip_prefix("Receipt ").unwrap();
    let file = state.store().find_report_file(code).await.unwrap().unwrap();
    assert_eq!(file.report.narrative.as_deref(), Some("zip gone\nThe zip of RC-100 split."));
    assert_eq!(
        (file.report.unit.as_str(), file.report.harm),
        ("CREW-1", None),
        "nobody said whether anybody was hurt"
    );
    let address = mail.text.lines().find(|line| line.contains("/follow/")).unwrap();
    let page = get(&service(&state), &address[address.find("/follow/").unwrap()..], "").await;
    assert!(text(page).await.contains(code), "the mail leads to the receipt");
}

#[tokio::test]
async fn photographs_come_along_six_of_them_and_names_lead_nowhere() {
    let state = books().await;
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("a.eml"), with_photos(8)).unwrap();
    assert_eq!(looked(&state, folder.path()).await.taken, 1);
    let mail = state.store().take_mail(state.now(), 9).await.unwrap().remove(0).mail;
    assert!(mail.text.contains("Six photographs were kept"), "{}", mail.text);
    let file = state
        .store()
        .find_report_file(mail.subject.strip_prefix("Receipt ").unwrap())
        .await
        .unwrap()
        .unwrap();
    assert_eq!(file.photos.len(), 1, "the same picture is kept once");
    assert_eq!(file.photos[0].media_type, "image/jpeg", "re-encoded");
}

#[tokio::test]
async fn a_mail_from_an_unknown_address_waits_unanswered_until_an_engineer_names_the_unit() {
    let state = books().await;
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("a.eml"), PLAIN.replace("Crew@cove.example", "someone@else.example"))
        .unwrap();
    assert_eq!(looked(&state, folder.path()).await, Looked { waiting: 1, ..Looked::default() });
    assert_eq!(
        state.store().take_mail(state.now(), 9).await.unwrap(),
        [],
        "strangers get no answer by themselves"
    );
    person(&state, "fell", Role::Engineer, "seven dry karabiners").await;
    person(&state, "skerry", Role::Board, "seven dry karabiners").await;
    let service = service(&state);
    let sign_in = |name: &str| format!("name={name}&password=seven+dry+karabiners");
    let fell = cookie(&post(&service, "/sign-in", "", &sign_in("fell")).await);
    let skerry = cookie(&post(&service, "/sign-in", "", &sign_in("skerry")).await);
    assert_eq!(get(&service, "/reports/mailed", &skerry).await.status(), 403);
    let list = text(get(&service, "/reports/mailed", &fell).await).await;
    assert!(list.contains("someone@else.example") && list.contains("not known"), "{list}");
    assert!(text(get(&service, "/", &fell).await).await.contains("/reports/mailed"));
    let form = text(get(&service, "/reports/mailed/1", &fell).await).await;
    assert!(form.contains("The zip of RC-100 split."), "{form}");
    let bad = post(&service, "/reports/mailed/1", &fell, "unit=NOWHERE&item=&harm=").await;
    assert_eq!(bad.status(), 422);
    let bad = text(bad).await;
    assert!(
        bad.contains("Choose the unit it happened to.") && bad.contains("Choose which item it was."),
        "{bad}"
    );
    let made = post(&service, "/reports/mailed/1", &fell, "unit=COVE-2&item=RC-100&harm=near_miss").await;
    assert_eq!(made.status(), 303);
    let mail = state.store().take_mail(state.now(), 9).await.unwrap();
    assert_eq!(mail[0].mail.to, "someone@else.example");
    assert_eq!(get(&service, "/reports/mailed/1", &fell).await.status(), 404, "decided once");

    fs::write(folder.path().join("b.eml"), PLAIN.replace("Crew@cove.example", "x@else.example")).unwrap();
    looked(&state, folder.path()).await;
    assert_eq!(post(&service, "/reports/mailed/2/dismiss", &fell, "why=").await.status(), 422);
    assert_eq!(
        post(&service, "/reports/mailed/2/dismiss", &fell, "why=an+advertisement").await.status(),
        303
    );
    assert_eq!(state.store().count_waiting_mailed().await.unwrap(), 0);
}

#[tokio::test]
async fn a_mail_made_a_report_days_later_is_of_the_day_it_arrived() {
    let state = books().await;
    let folder = tempfile::tempdir().unwrap();
    let said = [("2026-03-01", (3, 1)), ("2026-03-04", (3, 3)), ("", (3, 3))];
    for at in 1..=said.len() {
        let mail = PLAIN.replace("Crew@cove.example", "someone@else.example");
        fs::write(folder.path().join(format!("{at}.eml")), mail.replace("<1@", &format!("<{at}@"))).unwrap();
    }
    assert_eq!(looked(&state, folder.path()).await.waiting, said.len());
    let arrived = noon();
    let day = |(month, day)| NaiveDate::from_ymd_opt(2026, month, day).unwrap();
    assert_eq!(arrived.date_naive(), day((3, 3)));

    let three_days_on = Clock::standing_at(arrived + TimeDelta::days(3));
    let later = AppState::with_clock(state.config().clone(), three_days_on).await.unwrap();
    let fell = person(&later, "fell", Role::Engineer, "seven dry karabiners").await;
    let address = MailAddress::parse("fell@rescue.example").unwrap();
    later.store().set_on_call(&Actor::Program, later.now(), fell, Some(&address)).await.unwrap();
    let service = service(&later);
    let fell = cookie(&post(&service, "/sign-in", "", "name=fell&password=seven+dry+karabiners").await);
    let form = text(get(&service, "/reports/mailed/1", &fell).await).await;
    assert!(form.contains("value=\"2026-03-03\""), "{form}");
    let make = async |mail: i64, found_on: &str| {
        let form = format!("unit=COVE-2&item=RC-100&harm=near_miss&found_on={found_on}");
        post(&service, &format!("/reports/mailed/{mail}"), &fell, &form).await
    };
    // The day after is still taken: east of UTC it had begun when the mail arrived.
    let too_late = make(1, "2026-03-05").await;
    assert_eq!(too_late.status(), 422);
    let page = text(too_late).await;
    let why = "The mail arrived on 3 Mar 2026, so it was found then or before.";
    assert_eq!(page.matches(why).count(), 1, "{page}");
    assert!(page.contains("value=\"2026-03-05\""), "what was typed stays: {page}");

    let due = arrived + TimeDelta::hours(24);
    for (id, (typed, found_on)) in (1..).zip(said) {
        assert_eq!(make(id, typed).await.status(), 303, "{typed}");
        let report_ref = later.store().find_mailed(id).await.unwrap().unwrap().report_ref.unwrap();
        let file = later.store().find_report_file(&report_ref).await.unwrap().unwrap();
        assert_eq!((file.report.found_on, file.report.received_on), (day(found_on), day((3, 3))), "{typed}");
        assert_eq!((file.receipt.unwrap().sent_at, file.danger.unwrap().due), (arrived, due));
    }
    let mails = later.store().take_mail(later.now(), 9).await.unwrap();
    let subjects: Vec<&str> = mails.iter().map(|mail| mail.mail.subject.as_str()).collect();
    let alarms = subjects.iter().filter(|subject| subject.ends_with("look at it by 4 Mar 2026, 12:00 UTC"));
    assert_eq!(alarms.count(), said.len(), "{subjects:?}");
}

#[tokio::test]
async fn what_no_person_wrote_is_refused_and_the_journal_says_why() {
    let state = books().await;
    let folder = tempfile::tempdir().unwrap();
    let headers = [
        "Auto-Submitted: auto-replied",
        "Auto-Submitted: auto-generated; by=x",
        "Precedence: bulk",
        "List-Id: <all.cove.example>",
        "Return-Path: <>",
    ];
    for (at, header) in headers.iter().enumerate() {
        let mail = format!("{header}\r\n{}", PLAIN.replace("<1@", &format!("<{at}@")));
        fs::write(folder.path().join(format!("{at}.eml")), mail).unwrap();
    }
    fs::write(folder.path().join("own.eml"), PLAIN.replace("Crew@cove.example", "bartack@localhost"))
        .unwrap();
    assert_eq!(
        looked(&state, folder.path()).await,
        Looked { refused: headers.len() + 1, ..Looked::default() }
    );
    assert_eq!(names(&folder.path().join("refused")).len(), headers.len() + 1);
    assert_eq!(state.store().take_mail(state.now(), 9).await.unwrap(), []);
    let filter = JournalFilter { noun: Some("mailed report".into()), ..JournalFilter::default() };
    let entries = state.store().journal(&filter, Page::first(20)).await.unwrap();
    assert_eq!(entries.len(), headers.len() + 1);
    assert!(entries.iter().all(|entry| entry.after.as_deref().is_some_and(|after| after.contains("why"))));
    assert!(open(format!("Auto-Submitted: no\r\n{PLAIN}").as_bytes()).is_ok());
}

#[tokio::test]
async fn one_address_is_answered_only_so_often_a_day() {
    let state = books().await;
    let folder = tempfile::tempdir().unwrap();
    for at in 0..25 {
        let mail = PLAIN.replace("<1@", &format!("<{at}@"));
        fs::write(folder.path().join(format!("{at:02}.eml")), mail).unwrap();
    }
    assert_eq!(looked(&state, folder.path()).await.taken, 25, "every one is a report");
    assert_eq!(state.store().take_mail(state.now(), 99).await.unwrap().len(), 20);
}

#[test]
fn bombs_are_refused_before_they_are_taken_apart() {
    let head = "From: a@b.example\r\nContent-Type: multipart/mixed; boundary=b\r\n\r\n";
    let many = format!("{head}{}", "--b\r\nContent-Type: image/png\r\n\r\nx\r\n".repeat(10_000));
    assert!(open(many.as_bytes()).unwrap_err().contains("parts"));
    let bare = format!("{head}{}", "--b\r\n\r\nx\r\n".repeat(10_000));
    assert!(open(bare.as_bytes()).unwrap_err().contains("parts"));
    let level = |n: usize| format!("Content-Type: multipart/mixed; boundary=b{n}\r\n\r\n--b{n}\r\n");
    let nested = (0..5_000).map(level).collect::<Vec<_>>().concat();
    assert!(open(format!("From: a@b.example\r\n{nested}").as_bytes()).unwrap_err().contains("parts"));
    let matryoshka = "Content-Type: message/rfc822\r\n\r\n".repeat(5_000);
    assert!(open(format!("From: a@b.example\r\n{matryoshka}").as_bytes()).unwrap_err().contains("parts"));
}

#[test]
fn strange_mails_are_refused_or_read_and_none_stops_the_program() {
    for (mail, why) in [
        ("", "read as a mail"),
        ("\r\n\r\nno head", "no sender"),
        ("From: a@b.example, c@d.example\r\n\r\nx", "several senders"),
        ("From: undisclosed\r\n\r\nx", "no sender"),
        ("From: \"a@b.example>, <x\"@c.example\r\n\r\nx", "no sender"),
        ("From: a@b.example\r\n\r\n> only\r\n> quotes\r\n", "says nothing"),
    ] {
        let refused = open(mail.as_bytes()).expect_err(mail);
        assert!(refused.contains(why), "{mail}: {refused}");
    }
    let nul = open(b"From: a@b.example\r\nSubject: \0x\r\n\r\none\0two\xff\xfe\r\n").expect("read");
    assert!(!nul.story.contains('\0'), "{nul:?}");
    let html =
        "From: a@b.example\r\nContent-Type: text/html\r\n\r\n<p>zip <b>split</b><script>x()</script></p>";
    assert!(open(html.as_bytes()).expect("read").story.contains("zip split"));
    let noise: Vec<u8> = (0..200_000_u32).map(|n| (n.wrapping_mul(2_654_435_761) >> 13) as u8).collect();
    assert!(open(&noise).is_err());
}

#[tokio::test]
async fn a_file_too_large_is_refused_unread_and_a_link_is_no_mail() {
    let state = books().await;
    let folder = tempfile::tempdir().unwrap();
    let large = fs::File::create(folder.path().join("large.eml")).unwrap();
    large.set_len(1 << 30).unwrap();
    std::os::unix::fs::symlink("/etc/hostname", folder.path().join("link.eml")).unwrap();
    assert_eq!(looked(&state, folder.path()).await, Looked { refused: 1, ..Looked::default() });
    assert_eq!(names(folder.path()), ["link.eml", "refused"]);
}

#[tokio::test]
async fn an_address_of_two_units_is_nobodys() {
    let state = books().await;
    let folder = tempfile::tempdir().unwrap();
    add_unit(&state, "CREW-2").await;
    fs::write(folder.path().join("a.eml"), PLAIN).unwrap();
    assert_eq!(looked(&state, folder.path()).await.waiting, 1);
    let mail = state.store().find_mailed(1).await.unwrap().unwrap();
    assert_eq!(mail.unit, None);
}
