//! Delivery reports as servers write them.

use domain::mail_address::MailAddress;
use domain::report::Report;
use store::{IntakeFacts, NewContact};

use super::*;
use crate::testing::state;

/// After the example of RFC 3464, appendix E.1, with an invented recipient.
fn report(recipient: &str, action: &str, status: &str) -> String {
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
         Subject: What became of your report\r\n\
         \r\n\
         It was looked at.\r\n\
         --seam--\r\n"
    )
}

const ODA: &str = "oda.fell@cove.example";

#[test]
fn only_what_failed_for_good_counts() {
    let found = |action, status| failures(report(ODA, action, status).as_bytes()).expect("a report");
    let address = MailAddress::parse(ODA).expect("an address");
    assert_eq!(found("failed", "5.1.1"), [Failure { address, status: "5.1.1".into() }]);
    assert_eq!(found("Failed", "5.2.1 (mailbox disabled)").len(), 1);
    assert_eq!(found("delayed", "4.4.7"), []);
    assert_eq!(found("failed", "4.4.7"), []);
    assert_eq!(found("delivered", "2.1.5"), []);
    assert_eq!(failures(report("nobody at all", "failed", "5.1.1").as_bytes()), Some(Vec::new()));
}

#[test]
fn what_is_no_delivery_report_is_none() {
    assert_eq!(failures(b""), None);
    assert_eq!(
        failures(b"Subject: hello\r\n\r\nFinal-Recipient: rfc822; a@b.example\r\nAction: failed\r\n"),
        None
    );
    let disposition = report(ODA, "failed", "5.1.1")
        .replace("report-type=delivery-status", "report-type=disposition-notification");
    assert_eq!(failures(disposition.as_bytes()), None);
    let cut = report(ODA, "failed", "5.1.1");
    for end in 0..cut.len() {
        failures(&cut.as_bytes()[..end]);
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

#[tokio::test]
async fn a_folder_is_read_once_and_what_is_none_of_ours_is_put_aside() {
    let state = state().await;
    sent(&state, ODA).await;
    let folder = tempfile::tempdir().expect("a folder");
    let put = |name: &str, text: &str| fs::write(folder.path().join(name), text).expect("written");
    put("1.eml", &report("Oda.Fell@COVE.example", "failed", "5.1.1"));
    put("2.eml", &report("stranger@cove.example", "failed", "5.1.1"));
    put("3.eml", "Subject: hello\r\n\r\nhello");
    put("notes.txt", "not a mail");
    // The part before the `@` is the server's to tell apart: another letter is another mailbox.
    assert_eq!(read(&state, folder.path()).await.expect("read"), 0);
    put("4.eml", &report("oda.fell@COVE.example", "failed", "5.1.1"));
    assert_eq!(read(&state, folder.path()).await.expect("read"), 1);
    let (_, why) =
        state.store().find_contact("N-1").await.expect("read").expect("kept").stopped.expect("stopped");
    assert_eq!(why, "a mail server says for good that it can't be delivered (5.1.1)");
    let left = |of: &Path| {
        let names =
            fs::read_dir(of).expect("a folder").map(|one| one.expect("one").file_name().into_string());
        let mut names: Vec<String> = names.map(|name| name.expect("a name")).collect();
        names.sort();
        names
    };
    assert_eq!(left(folder.path()), ["notes.txt", "other"]);
    assert_eq!(left(&folder.path().join("other")), ["3.eml"]);
}
