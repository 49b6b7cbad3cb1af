//! Delivery reports as servers write them.

use domain::mail_address::MailAddress;
use domain::report::Report;
use store::{IntakeFacts, NewContact, NewMail};

use super::*;
use crate::mail::{Mailer, deliver};
use crate::testing::state;

/// After the example of RFC 3464, appendix E.1, with an invented recipient.
fn report(recipient: &str, action: &str, status: &str) -> String {
    report_of("1@rescue.example", recipient, action, status)
}

fn report_of(id: &str, recipient: &str, action: &str, status: &str) -> String {
    format!(
        "From: Mail Delivery Subsystem <mailer-daemon@mail.rescue.example>\r\n\
         To: bartack@rescue.example\r\n\
         Subject: Returned mail\r\n\
         MIME-Version: 1.0\r\n\
         Content-Type: multipart/report; report-type=delivery-status;\r\n\tboundary=\"seam\"\r\n\
         \r\n\
         --seam\r\n\
         \r\n\
         The mail could not be delivered.\r\n\
         --seam\r\n\
         Content-Type: message/delivery-status\r\n\
         \r\n\
         Reporting-MTA: dns; mail.rescue.example\r\n\
         Arrival-Date: Tue, 3 Mar 2026 12:00:00 +0000\r\n\
         \r\n\
         Original-Recipient: rfc822;{recipient}\r\n\
         Final-Recipient: RFC822;\r\n {recipient}\r\n\
         Action: {action}\r\n\
         Status: {status}\r\n\
         Diagnostic-Code: smtp; 550 no such user\r\n\
         \r\n\
         --seam\r\n\
         Content-Type: message/rfc822\r\n\
         \r\n\
         To: {recipient}\r\n\
         Message-ID: <{id}>\r\n\
         Subject: What became of your report\r\n\
         \r\n\
         It was looked at.\r\n\
         --seam--\r\n"
    )
}

const ODA: &str = "oda.fell@cove.example";

#[test]
fn only_what_failed_for_good_counts() {
    let found = |action, status| returned(report(ODA, action, status).as_bytes()).expect("a report").failures;
    let address = MailAddress::parse(ODA).expect("an address");
    assert_eq!(found("failed", "5.1.1"), [Failure { address, status: "5.1.1".into() }]);
    assert_eq!(found("Failed", "5.2.1 (mailbox disabled)").len(), 1);
    assert_eq!(found("delayed", "4.4.7"), []);
    assert_eq!(found("failed", "4.4.7"), []);
    assert_eq!(found("delivered", "2.1.5"), []);
    let nobody = returned(report("nobody at all", "failed", "5.1.1").as_bytes()).expect("a report");
    assert_eq!(nobody.failures, []);
}

#[test]
fn the_mail_it_is_about_is_named_by_what_is_returned_of_it() {
    let ids = |report: &str| returned(report.as_bytes()).expect("a report").ids;
    let whole = report_of("7@rescue.example", ODA, "failed", "5.1.1");
    assert_eq!(ids(&whole), ["7@rescue.example"]);
    // A server that returns no more than the head (RFC 3462, section 2).
    assert_eq!(ids(&whole.replace("message/rfc822", "text/rfc822-headers")), ["7@rescue.example"]);
    let answers = whole.replace("Subject: Returned", "In-Reply-To: <8@rescue.example>\r\nSubject: Returned");
    assert_eq!(ids(&answers), ["8@rescue.example", "7@rescue.example"]);
    assert_eq!(ids(&whole.replace("Message-ID: <7@rescue.example>\r\n", "")), Vec::<String>::new());
    let many = (0..99).map(|n| format!(" <{n}@rescue.example>")).collect::<Vec<_>>().concat();
    let many = whole.replace("Subject: Returned", &format!("References:{many}\r\nSubject: Returned"));
    assert_eq!(ids(&many).len(), MOST_IDS);
}

#[test]
fn what_is_no_delivery_report_is_none() {
    assert_eq!(returned(b""), None);
    assert_eq!(
        returned(b"Subject: hello\r\n\r\nFinal-Recipient: rfc822; a@b.example\r\nAction: failed\r\n"),
        None
    );
    let disposition = report(ODA, "failed", "5.1.1")
        .replace("report-type=delivery-status", "report-type=disposition-notification");
    assert_eq!(returned(disposition.as_bytes()), None);
    let cut = report(ODA, "failed", "5.1.1");
    for end in 0..cut.len() {
        returned(&cut.as_bytes()[..end]);
    }
}

/// A report that came with an address.
async fn sent(state: &AppState, address: &str) {
    crate::testing::books::bring_in(state).await;
    let day = state.today();
    let report = Report::bare("N-1", day, "COVE-2", "RC-100");
    let contact = NewContact {
        address: MailAddress::parse(address).expect("an address"),
        language: domain::language::Language::English,
    };
    let facts = IntakeFacts {
        receipt_code: "K7M4-RT9X".into(),
        client_key: "one".into(),
        secret_hash: "two".into(),
        unit_link_id: None,
        altered_by: None,
        contact: Some(contact),
        alarm: None,
    };
    let unit = Actor::UnitLink { unit: "COVE-2".into() };
    state.store().send_report(&unit, state.now(), &report, &facts, &[]).await.expect("sent");
}

/// Sends a mail to somebody outside the house, and gives its Message-ID.
async fn mailed(state: &AppState, to: &str) -> String {
    let mail = NewMail {
        key: format!("tidings {to}"),
        to: to.into(),
        subject: "What became of your report".into(),
        text: "x".into(),
        html: "x".into(),
        is_personal: true,
        stop_url: None,
    };
    state.store().queue_mail(&Actor::Program, state.now(), &[mail]).await.expect("queued");
    let folder = tempfile::tempdir().expect("a folder");
    let mailer = Mailer::into_folder(folder.path(), "bartack@rescue.example").expect("a folder");
    assert_eq!(deliver(state, &mailer).await.expect("sent"), 1);
    let file = fs::read_dir(folder.path()).expect("read").next().expect("a mail").expect("a file").path();
    let mail = fs::read_to_string(file).expect("read").replace("\r\n ", " ");
    let id = mail.lines().find_map(|line| line.strip_prefix("Message-ID: <")).expect("a Message-ID");
    id.trim_end_matches('>').to_owned()
}

fn left(of: &Path) -> Vec<String> {
    let names = fs::read_dir(of).expect("a folder").map(|one| one.expect("one").file_name().into_string());
    let mut names: Vec<String> = names.map(|name| name.expect("a name")).collect();
    names.sort();
    names
}

async fn why_stopped(state: &AppState) -> Option<String> {
    let contact = state.store().find_contact("N-1").await.expect("read").expect("kept");
    contact.stopped.map(|(_, why)| why)
}

#[tokio::test]
async fn a_folder_is_read_once_and_what_is_none_of_ours_is_put_aside() {
    let state = state().await;
    sent(&state, ODA).await;
    let id = mailed(&state, ODA).await;
    let folder = tempfile::tempdir().expect("a folder");
    let put = |name: &str, text: &str| fs::write(folder.path().join(name), text).expect("written");
    put("1.eml", &report_of(&id, "Oda.Fell@COVE.example", "failed", "5.1.1"));
    put("2.eml", &report_of(&id, "stranger@cove.example", "failed", "5.1.1"));
    put("3.eml", "Subject: hello\r\n\r\nhello");
    put("notes.txt", "not a mail");
    // The part before the `@` is the server's to tell apart: another letter is another mailbox.
    assert_eq!(read(&state, folder.path()).await.expect("read"), 0);
    put("4.eml", &report_of(&id, "oda.fell@COVE.example", "failed", "5.1.1"));
    assert_eq!(read(&state, folder.path()).await.expect("read"), 1);
    let why = why_stopped(&state).await;
    assert_eq!(why.as_deref(), Some("a mail server says for good that it can't be delivered (5.1.1)"));
    assert_eq!(left(folder.path()), ["notes.txt", "other"]);
    assert_eq!(left(&folder.path().join("other")), ["3.eml"]);
}

#[tokio::test]
async fn a_report_stops_nothing_unless_it_names_a_mail_that_went_to_that_address() {
    let state = state().await;
    sent(&state, ODA).await;
    mailed(&state, ODA).await;
    let other = mailed(&state, "jon.skerry@cove.example").await;
    let folder = tempfile::tempdir().expect("a folder");
    let forged = report(ODA, "failed", "5.1.1");
    for (name, text) in [
        ("1.eml", forged.clone()),
        ("2.eml", forged.replace("Message-ID: <1@rescue.example>\r\n", "")),
        // Whoever got a mail knows its Message-ID, but not that of another's.
        ("3.eml", report_of(&other, ODA, "failed", "5.1.1")),
    ] {
        fs::write(folder.path().join(name), text).expect("written");
    }
    assert_eq!(read(&state, folder.path()).await.expect("read"), 0);
    assert_eq!(why_stopped(&state).await, None);
    assert_eq!(left(folder.path()), Vec::<String>::new(), "nor is it kept");
}

#[tokio::test]
async fn a_file_that_fails_does_not_keep_the_others() {
    let state = state().await;
    sent(&state, ODA).await;
    let id = mailed(&state, ODA).await;
    let folder = tempfile::tempdir().expect("a folder");
    fs::write(folder.path().join("1.eml"), "Subject: hello\r\n\r\nhello").expect("written");
    // Where what is put aside would go lies a file of this name.
    fs::write(folder.path().join(OTHER), "").expect("written");
    let real = report_of(&id, ODA, "failed", "5.1.1");
    fs::write(folder.path().join("2.eml"), real).expect("written");
    assert_eq!(read(&state, folder.path()).await.expect("read"), 1);
    assert!(why_stopped(&state).await.is_some());
    assert_eq!(left(folder.path()), ["1.eml", "other"], "it is tried again");
}

#[tokio::test]
async fn an_order_to_stop_using_and_an_alarm_still_go_to_an_address_that_bounced() {
    let state = state().await;
    sent(&state, ODA).await;
    let id = mailed(&state, ODA).await;
    let mail = |key: &str, is_personal| NewMail {
        key: key.into(),
        to: ODA.into(),
        subject: "x".into(),
        text: "x".into(),
        html: "x".into(),
        is_personal,
        stop_url: None,
    };
    let waiting =
        [mail("tidings 2", true), mail("instruction I-2026-001 COVE-2", true), mail("alarm N-1 1", false)];
    state.store().queue_mail(&Actor::Program, state.now(), &waiting).await.expect("queued");
    let folder = tempfile::tempdir().expect("a folder");
    let real = report_of(&id, ODA, "failed", "5.1.1");
    fs::write(folder.path().join("1.eml"), real).expect("written");
    assert_eq!(read(&state, folder.path()).await.expect("read"), 1);
    let goes = state.store().take_mail(state.now(), 9).await.expect("taken");
    let keys: Vec<&str> = goes.iter().map(|one| one.mail.key.as_str()).collect();
    assert_eq!(keys, ["alarm N-1 1", "instruction I-2026-001 COVE-2"]);
}
