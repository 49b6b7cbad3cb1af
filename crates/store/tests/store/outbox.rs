//! The outbox: what goes first, what is kept of mail that left the house, and what whoever runs the installation is told.

use chrono::Duration;
use domain::mail_address::MailAddress;
use domain::permission::Actor;
use sea_orm::{ConnectionTrait as _, Database, Statement};
use store::NewMail;

use crate::database::on_both;
use crate::samples::at;

const ODA: &str = "oda.fell@cove.example";

fn mail(key: &str, is_personal: bool) -> NewMail {
    NewMail {
        key: key.into(),
        to: ODA.into(),
        subject: format!("About {key}"),
        text: "none".into(),
        html: "<p>none</p>".into(),
        is_personal,
        stop_url: None,
    }
}

#[test]
fn an_alarm_goes_before_whatever_waits_and_orders_to_stop_using_after_it() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        let mut mails: Vec<NewMail> = (0..30).map(|n| mail(&format!("digest 2026-W10 {n}"), false)).collect();
        mails.push(mail("instruction I-2026-001 COVE-2", true));
        mails.push(mail("alarm N-1 3", false));
        mails.push(mail("alarmed by nothing", false));
        store.queue_mail(&Actor::Program, at(0), &mails).await.expect("queued");
        let taken = store.take_mail(at(1), 4).await.expect("taken");
        let keys: Vec<&str> = taken.iter().map(|one| one.mail.key.as_str()).collect();
        assert_eq!(
            keys,
            ["alarm N-1 3", "instruction I-2026-001 COVE-2", "digest 2026-W10 0", "digest 2026-W10 1"]
        );
        // One that comes while the rest is being sent is the next.
        store.queue_mail(&Actor::Program, at(1), &[mail("alarm N-2 3", false)]).await.expect("queued");
        assert_eq!(store.take_mail(at(1), 1).await.expect("taken")[0].mail.key, "alarm N-2 3");
    });
}

#[test]
fn of_mail_that_left_the_house_neither_receiver_nor_subject_is_told_and_none_is_kept() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        let mails = [
            mail("digest 2026-W10 1", false),
            mail("instruction I-2026-001 COVE-2", true),
            mail("tidings 2026-03-03 1", true),
            mail("tidings 2026-03-03 2", true),
        ];
        store.queue_mail(&Actor::Program, at(0), &mails).await.expect("queued");
        let told = async || {
            let fates = store.latest_mail(9).await.expect("read");
            fates.into_iter().rev().map(|fate| (fate.to, fate.subject, fate.is_order)).collect::<Vec<_>>()
        };
        let nothing = |is_order| (String::new(), String::new(), is_order);
        let digest = (ODA.to_owned(), "About digest 2026-W10 1".to_owned(), false);
        let expected = [digest, nothing(true), nothing(false), nothing(false)];
        assert_eq!(told().await, expected, "while it waits");
        for one in store.take_mail(at(1), 3).await.expect("taken") {
            store.settle_mail(&Actor::Program, at(1), one.id, Ok(())).await.expect("settled");
        }
        let address = MailAddress::parse(ODA).expect("an address");
        store.stop_address(&Actor::Program, at(1), &address, "no such mailbox").await.expect("stopped");
        assert_eq!(told().await, expected, "when it ended");
        let db = Database::connect(&fresh.url).await.expect("opens");
        let sql = "SELECT key FROM outbox WHERE is_personal AND (subject <> '' OR to_address <> '')";
        let rows =
            db.query_all_raw(Statement::from_string(db.get_database_backend(), sql)).await.expect("read");
        assert!(rows.is_empty(), "sent or given up, it is blank");
        db.close().await.expect("closes");
    });
}

/// A server that is down: an alarm is tried again within minutes, and nothing is lost over a long weekend. RFC 5321, section
/// 4.5.4.1: the give-up time should be at least four to five days.
#[test]
fn a_mail_that_fails_is_tried_again_soon_and_for_days() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        store.queue_mail(&Actor::Program, at(0), &[mail("alarm N-1 3", false)]).await.expect("queued");
        let (mut now, mut tries) = (at(0), Vec::new());
        while now < at(0) + Duration::days(9) {
            for one in store.take_mail(now, 9).await.expect("taken") {
                tries.push((now - at(0)).num_minutes());
                let failed = Err("connection refused".to_owned());
                store.settle_mail(&Actor::Program, now, one.id, failed).await.expect("settled");
            }
            now += Duration::minutes(if tries.len() < 8 { 1 } else { 20 });
        }
        assert_eq!(tries[..8], [0, 1, 3, 7, 15, 31, 63, 127]);
        assert!(store.latest_mail(1).await.expect("read")[0].is_given_up);
        let last = tries.last().expect("tried") / 60;
        assert!((96..=120).contains(&last), "four to five days, and was {last} hours");
        assert!(tries.windows(2).all(|pair| pair[1] - pair[0] <= 360 + 20), "{tries:?}");
    });
}

#[test]
fn what_mail_went_out_as_is_found_again() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        store.queue_mail(&Actor::Program, at(0), &[mail("tidings 1", true)]).await.expect("queued");
        let id = store.take_mail(at(1), 1).await.expect("taken")[0].id;
        let known = async |digests: &[&str]| {
            let digests: Vec<String> = digests.iter().map(|&digest| digest.to_owned()).collect();
            store.was_sent_as(&digests).await.expect("read")
        };
        assert!(!known(&["one"]).await);
        store.note_sent_as(id, "one").await.expect("noted");
        store.settle_mail(&Actor::Program, at(1), id, Ok(())).await.expect("settled");
        assert!(known(&["two", "one"]).await && !known(&["two"]).await && !known(&[]).await);
    });
}
