//! Mailed reports: kept once each, waiting with their photographs until they are reports, answered in the same step.

use domain::permission::Role;
use domain::report::{Harm, Report};
use store::{IntakeFacts, JournalFilter, NewMail, NewMailed, NewPhoto, Page, StoreError};

use crate::database::on_both;
use crate::everything::everything;
use crate::pack::bare_report;
use crate::reports::bring_in;
use crate::samples::{at, somebody};

fn mailed(key: &str) -> NewMailed {
    let photo = NewPhoto { sha256: "a".into(), media_type: "image/jpeg".into(), width: 8, height: 6 };
    NewMailed {
        key: key.into(),
        sender: "crew@cove.example".into(),
        subject: "zip".into(),
        story: "zip\nsplit on the ladder".into(),
        unit: Some("COVE-2".into()),
        photos: vec![photo],
    }
}

fn facts(code: &str) -> IntakeFacts {
    IntakeFacts {
        receipt_code: code.into(),
        client_key: format!("mailed {code}"),
        secret_hash: format!("secret {code}"),
        unit_link_id: None,
        altered_by: None,
        contact: None,
        alarm: None,
    }
}

fn answer(code: &str) -> NewMail {
    NewMail {
        key: format!("receipt {code}"),
        to: "crew@cove.example".into(),
        subject: format!("Receipt {code}"),
        text: code.into(),
        html: code.into(),
        is_personal: true,
        stop_url: None,
    }
}

#[test]
fn a_mail_waits_once_and_becomes_a_report_with_its_photographs_and_its_answer() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        let fell = somebody(store, "fell", Role::Engineer).await;
        let first = store.add_mailed(&fell, at(1), &mailed("one")).await.expect("kept");
        let again = store.add_mailed(&fell, at(2), &mailed("one")).await.expect("found");
        assert_eq!((&again, first.waits()), (&first, true));
        assert_eq!(store.count_waiting_mailed().await.expect("read"), 1);
        assert_eq!(store.photos_of_mailed(first.id).await.expect("read"), mailed("one").photos);
        let report = bare_report("N-1");
        let nowhere = Report { item_part_no: "NONE".into(), ..bare_report("N-2") };
        let missing =
            store.send_mailed(&fell, at(3), first.id, (&nowhere, &facts("N-2")), Some(&answer("N-2"))).await;
        assert!(matches!(missing, Err(StoreError::Missing { noun: "part", .. })), "{missing:?}");
        assert_eq!(
            store.take_mail(at(3), 9).await.expect("read"),
            [],
            "nothing is answered that wasn't kept"
        );
        store
            .send_mailed(&fell, at(4), first.id, (&report, &facts("N-1")), Some(&answer("N-1")))
            .await
            .expect("sent");
        let file = store.find_report_file("N-1").await.expect("read").expect("there");
        assert_eq!((file.photos.len(), file.photos[0].width), (1, 8));
        assert_eq!(store.count_mail_keyed("receipt N").await.expect("read"), 1);
        assert_eq!(store.count_mail_keyed("receipt M").await.expect("read"), 0);
        assert_eq!(store.take_mail(at(5), 9).await.expect("read").len(), 1);
        let twice =
            store.send_mailed(&fell, at(6), first.id, (&bare_report("N-3"), &facts("N-3")), None).await;
        assert!(matches!(twice, Err(StoreError::Refused(_))), "{twice:?}");
        assert_eq!(store.photos_of_mailed(first.id).await.expect("read"), []);
        assert_eq!(store.waiting_mailed(Page::first(9)).await.expect("read"), []);
        let kept = store.find_mailed(first.id).await.expect("read").expect("there");
        assert_eq!(
            (kept.report_ref.as_deref(), kept.sender.as_str()),
            (Some("N-1"), ""),
            "the address has served"
        );
        let entries = store.journal(&JournalFilter::default(), Page::first(99)).await.expect("read");
        let about = entries.iter().filter(|entry| entry.noun == "mailed report");
        assert_eq!(about.count(), 2);
        let says = |text: &Option<String>| text.as_deref().is_some_and(|text| text.contains("cove.example"));
        let of_mail = |entry: &&store::JournalEntry| entry.noun == "mailed report" || entry.noun == "mail";
        let mut named = entries.iter().filter(of_mail);
        assert!(!named.any(|entry| says(&entry.before) || says(&entry.after)), "no address in the journal");
    });
}

#[test]
fn a_report_of_a_mail_was_sent_when_the_mail_came_and_its_clock_runs_from_there() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        let fell = somebody(store, "fell", Role::Engineer).await;
        let mail = store.add_mailed(&fell, at(1), &mailed("one")).await.expect("kept");
        let report = Report { harm: Some(Harm::NearMiss), ..bare_report("N-1") };
        store.send_mailed(&fell, at(90), mail.id, (&report, &facts("N-1")), None).await.expect("sent");
        let file = store.find_report_file("N-1").await.expect("read").expect("there");
        assert_eq!(file.receipt.expect("it was sent").sent_at, at(1));
        // Within 24 hours, as the source of the categories has it.
        assert_eq!(file.danger.expect("a near miss").due, at(1) + chrono::TimeDelta::hours(24));
        let filter = JournalFilter { key: Some("N-1".into()), ..JournalFilter::default() };
        let entries = store.journal(&filter, Page::first(9)).await.expect("read");
        assert_eq!(entries.first().expect("entered").at, at(90), "the journal says when it was done");
    });
}

#[test]
fn a_mail_that_tells_of_no_failure_is_set_aside_with_a_reason() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        let fell = somebody(store, "fell", Role::Engineer).await;
        let one = store.add_mailed(&fell, at(1), &mailed("one")).await.expect("kept");
        let blank = store.dismiss_mailed(&fell, at(2), one.id, " ").await;
        assert!(matches!(blank, Err(StoreError::Refused(_))));
        store.dismiss_mailed(&fell, at(2), one.id, "an advertisement").await.expect("set aside");
        let kept = store.find_mailed(one.id).await.expect("read").expect("there");
        assert_eq!((kept.dismissed.as_deref(), kept.waits()), (Some("an advertisement"), false));
        let again = store.dismiss_mailed(&fell, at(3), one.id, "again").await;
        assert!(matches!(again, Err(StoreError::Refused(_))));
        let nobody = NewMailed { unit: Some("NONE".into()), ..mailed("two") };
        let missing = store.add_mailed(&fell, at(4), &nobody).await;
        assert!(matches!(missing, Err(StoreError::Missing { noun: "unit", .. })), "{missing:?}");
    });
}
