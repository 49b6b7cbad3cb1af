//! Contact details: apart from the report, told once, stopped, held, and gone without a trace when their time is over.

use chrono::{DateTime, Duration, Utc};
use domain::change_record::Disposition;
use domain::class::Class;
use domain::language::Language;
use domain::mail_address::MailAddress;
use domain::permission::{Actor, Role};
use sea_orm::{ConnectionTrait as _, Database, Statement};
use store::{IntakeFacts, JournalFilter, NewContact, NewEvidence, NewMail, Page, Store, StoreError, Told};

use crate::change_samples::{basis_on, decision, parts, zip_change};
use crate::database::{behind_the_back, on_both};
use crate::everything::everything;
use crate::pack::{Pack, bare_report};
use crate::reports::{bring_in, cove, facts};
use crate::samples::{at, somebody, unit};

const ADDRESS: &str = "oda.fell@cove.example";

fn address() -> MailAddress {
    MailAddress::parse(ADDRESS).expect("an address")
}

/// A sending that gives an address.
fn with_contact(key: &str) -> IntakeFacts {
    let contact = NewContact { address: address(), language: Language::German };
    IntakeFacts { contact: Some(contact), ..facts(key) }
}

async fn send(store: &Store, report_ref: &str) {
    let facts = with_contact(report_ref);
    store.send_report(&cove(), at(1), &bare_report(report_ref), &facts, &[]).await.expect("sent");
}

fn mail(key: &str) -> NewMail {
    NewMail {
        key: key.into(),
        to: ADDRESS.into(),
        subject: "What became of your report".into(),
        text: format!("To {ADDRESS}: it was looked at."),
        html: format!("<p>To {ADDRESS}: it was looked at.</p>"),
        is_personal: true,
        stop_url: Some(format!("https://rescue.example/stop/{ADDRESS}")),
    }
}

/// Every column of every table that holds a text somewhere, whatever its type.
async fn mentions(url: &str, needle: &str) -> Vec<String> {
    let db = Database::connect(url).await.expect("opens");
    let backend = db.get_database_backend();
    let columns = match backend {
        sea_orm::DbBackend::Sqlite => {
            "SELECT m.name, c.name FROM sqlite_master m JOIN pragma_table_info(m.name) c WHERE m.type = 'table'"
        }
        _ => {
            "SELECT table_name::text, column_name::text FROM information_schema.columns \
             WHERE table_schema = 'public'"
        }
    };
    let columns = db.query_all_raw(Statement::from_string(backend, columns)).await.expect("listed");
    assert!(columns.len() > 200, "{}", columns.len());
    let mut found = Vec::new();
    for column in columns {
        let table: String = column.try_get_by_index(0).expect("a name");
        let name: String = column.try_get_by_index(1).expect("a name");
        let text = format!("lower(CAST(\"{name}\" AS TEXT)) LIKE '%{}%'", needle.to_lowercase());
        let sql = format!("SELECT count(*) FROM \"{table}\" WHERE {text}");
        let row = db.query_one_raw(Statement::from_string(backend, sql)).await.expect("asked");
        if row.expect("a count").try_get_by_index::<i64>(0).expect("a number") > 0 {
            found.push(format!("{table}.{name}"));
        }
    }
    db.close().await.expect("closes");
    found
}

async fn journal(store: &Store) -> Vec<(i64, String, Option<String>, Option<String>)> {
    let entries = store.journal(&JournalFilter::default(), Page::first(500)).await.expect("read");
    entries
        .into_iter()
        .rev()
        .map(|e| (e.id, format!("{} {} {}", e.act, e.noun, e.key), e.before, e.after))
        .collect()
}

pub(crate) async fn add_part(url: &str, part_no: &str, kind: &str) {
    for sql in [
        format!("INSERT INTO part (part_no) VALUES ('{part_no}')"),
        format!(
            "INSERT INTO part_revision (part_no, revision, name, kind) VALUES ('{part_no}', 'A', 'part', '{kind}')"
        ),
    ] {
        behind_the_back(url, &sql).await.expect("a part");
    }
}

fn after_days(days: i64) -> DateTime<Utc> {
    at(1) + Duration::days(days)
}

#[test]
fn a_deleted_address_is_nowhere_and_evidence_and_journal_are_as_they_were() {
    on_both(|fresh| async move {
        parts(&fresh).await;
        let store = &fresh.store;
        let engineer = somebody(store, "fell", Role::Engineer).await;
        let chair = somebody(store, "brook", Role::Board).await;
        store.add_unit(&Actor::Program, at(0), &unit("COVE-2")).await.expect("added");
        add_part(&fresh.url, "RC-100", "ITEM").await;
        send(store, "N-1").await;
        let no = store.draft_change(&engineer, at(1), &zip_change()).await.expect("drafted");
        let submitted =
            NewEvidence { occasion: "submission".into(), document: "{\"reports\":[\"N-1\"]}".into() };
        store.submit_change(&engineer, at(2), &no, 1, Class::One, Some(&submitted)).await.expect("submitted");
        store
            .decide_change(&chair, at(3), &no, &decision(Disposition::Approve), &basis_on(&submitted))
            .await
            .expect("decided");
        let to = store.contacts_to_tell().await.expect("read");
        let told = |n: usize| Told {
            contact: to[0].id,
            news: vec![format!("sorted {n}")],
            follow_hash: format!("follow {n}"),
            stop_hash: format!("stop {n}"),
        };
        // One mail goes, one is refused by a server that names whom it refused, one still waits.
        for n in 0..3 {
            assert!(store.tell(at(4), &mail(&format!("news {n}")), &[told(n)]).await.expect("told"));
        }
        let taken = store.take_mail(at(5), 2).await.expect("taken");
        store.settle_mail(&Actor::Program, at(5), taken[0].id, Ok(())).await.expect("settled");
        let refused = Err(format!("permanent error (550): <{ADDRESS}>: no such mailbox"));
        store.settle_mail(&Actor::Program, at(5), taken[1].id, refused).await.expect("settled");
        assert!(mentions(&fresh.url, ADDRESS).await.iter().all(|at| {
            [
                "contact.address",
                "outbox.to_address",
                "outbox.body_text",
                "outbox.body_html",
                "outbox.stop_url",
            ]
            .contains(&at.as_str())
        }));

        let before = journal(store).await;
        assert_eq!(store.delete_old_contacts(&Actor::Program, after_days(179), 180).await.expect("swept"), 0);
        assert!(!mentions(&fresh.url, ADDRESS).await.is_empty());
        assert_eq!(store.delete_old_contacts(&Actor::Program, after_days(181), 180).await.expect("swept"), 1);
        assert_eq!(mentions(&fresh.url, ADDRESS).await, Vec::<String>::new());
        assert_eq!(mentions(&fresh.url, "oda.fell").await, Vec::<String>::new());
        assert_eq!(store.find_contact("N-1").await.expect("read"), None);
        assert!(
            store.take_mail(after_days(181), 9).await.expect("taken").is_empty(),
            "nothing is left to send"
        );

        let after = journal(store).await;
        assert_eq!(&after[..before.len()], &before[..], "what the journal said it still says");
        assert_eq!(
            after[before.len()..].iter().map(|e| e.1.as_str()).collect::<Vec<_>>(),
            ["delete contact N-1"]
        );
        assert_eq!(after[before.len()].3, None);
        let kept = store.list_evidence(&no).await.expect("read");
        assert_eq!(kept.len(), 2);
        assert!(kept.iter().all(store::FrozenEvidence::is_whole));
    });
}

#[test]
fn the_days_count_from_the_last_answer() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        let engineer = somebody(store, "fell", Role::Engineer).await;
        send(store, "N-1").await;
        store
            .answer_report(&engineer, after_days(100), ("N-1", None), "A weak slider.")
            .await
            .expect("answered");
        let sweep = |days| store.delete_old_contacts(&Actor::Program, after_days(days), 180);
        assert_eq!((sweep(200).await.expect("swept"), sweep(281).await.expect("swept")), (0, 1));
    });
}

#[test]
fn a_hold_stops_the_deletion_until_it_is_lifted() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        let engineer = somebody(store, "fell", Role::Engineer).await;
        send(store, "N-1").await;
        let hold = |report_ref, why| store.hold_report(&engineer, at(2), report_ref, why);
        assert!(matches!(hold("N-1", "  ").await, Err(StoreError::Refused(_))));
        assert!(matches!(hold("N-9", "an inquiry").await, Err(StoreError::Missing { .. })));
        hold("N-1", "an inquiry is open").await.expect("held");
        assert!(matches!(hold("N-1", "twice").await, Err(StoreError::Taken { noun: "hold", .. })));
        let sweep = |days| store.delete_old_contacts(&Actor::Program, after_days(days), 180);
        assert_eq!(sweep(400).await.expect("swept"), 0);
        assert!(matches!(store.lift_hold(&engineer, at(3), "N-1", "").await, Err(StoreError::Refused(_))));
        store.lift_hold(&engineer, after_days(401), "N-1", "the inquiry is closed").await.expect("lifted");
        assert!(matches!(
            store.lift_hold(&engineer, at(3), "N-1", "again").await,
            Err(StoreError::Missing { noun: "hold", .. })
        ));
        let holds = store.holds_on("N-1").await.expect("read");
        assert_eq!((holds.len(), holds[0].reason.as_str()), (1, "an inquiry is open"));
        let lifted = holds[0].lifted.as_ref().map(|(at, _, why)| (*at, why.as_str()));
        assert_eq!(lifted, Some((after_days(401), "the inquiry is closed")));
        assert_eq!(sweep(402).await.expect("swept"), 1);
    });
}

#[test]
fn an_address_stays_out_of_pack_and_journal() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        send(store, "N-1").await;
        assert_eq!(mentions(&fresh.url, ADDRESS).await, ["contact.address"]);
        let said = journal(store).await;
        assert!(said.iter().any(|entry| entry.1 == "give contact N-1" && entry.3.is_none()));
        let back = Pack::read(&store.books().await.expect("opened")).await;
        assert!(back.reports.iter().any(|report| report.report_ref == "N-1"));
        assert!(!format!("{:?}", back.reports).contains("cove.example"));
    });
}

#[test]
fn a_mail_tells_once_opens_the_receipt_and_stops_the_mail() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        for report_ref in ["N-1", "N-2"] {
            send(store, report_ref).await;
        }
        let to = store.contacts_to_tell().await.expect("read");
        assert_eq!((to.len(), to[0].language, to[0].told.len()), (2, Language::German, 0));
        let told = [Told {
            contact: to[0].id,
            news: vec!["sorted".into(), "others".into()],
            follow_hash: "follow".into(),
            stop_hash: "stop".into(),
        }];
        assert!(store.tell(at(4), &mail("news 1"), &told).await.expect("told"));
        assert!(!store.tell(at(5), &mail("news 1"), &told).await.expect("not again"));
        let knows = store.contacts_to_tell().await.expect("read");
        assert_eq!(knows[0].told, ["others".to_owned(), "sorted".to_owned()].into());
        let receipt = store.find_receipt("follow").await.expect("read").expect("opens");
        assert_eq!((receipt.report_ref.as_str(), receipt.unit.as_str()), ("N-1", "COVE-2"));
        assert_eq!(store.find_receipt("stop").await.expect("read"), None, "to stop is not to read");

        assert_eq!(store.find_stop("stop").await.expect("read"), Some(false));
        assert_eq!(store.find_stop("follow").await.expect("read"), None);
        assert!(!store.stop_by_link(at(6), "follow").await.expect("nothing"));
        // The address is stopped with every report it came with, and what waits is not sent.
        assert!(store.stop_by_link(at(6), "stop").await.expect("stopped"));
        assert!(store.stop_by_link(at(7), "stop").await.expect("twice is once"));
        assert!(store.contacts_to_tell().await.expect("read").is_empty());
        assert!(store.take_mail(at(8), 9).await.expect("taken").is_empty());
        let stopped = store.find_contact("N-2").await.expect("read").expect("kept").stopped;
        assert_eq!(stopped, Some((at(6), "stopped by its reader".into())));
    });
}

#[test]
fn an_address_that_bounces_is_stopped_and_the_journal_says_why_without_it() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        send(store, "N-1").await;
        let address = address();
        let stop = || store.stop_address(&Actor::Program, at(5), &address, "no such mailbox (5.1.1)");
        assert_eq!((stop().await.expect("stopped"), stop().await.expect("once")), (1, 0));
        let said = journal(store).await;
        let entry = said.iter().find(|entry| entry.1 == "stop contact N-1").expect("entered");
        assert_eq!(entry.3.as_deref(), Some("{\"why\":\"no such mailbox (5.1.1)\"}"));
        assert_eq!(mentions(&fresh.url, ADDRESS).await, ["contact.address"]);
    });
}
