//! Reports of danger: who is called at once, which wait on top and until when; and how soon a unit hears.

use chrono::Duration;
use domain::danger::{Category, Why};
use domain::mail_address::MailAddress;
use domain::permission::{Actor, Role};
use domain::report::{FoundWhen, Harm, Report};
use store::{IntakeFacts, MailWords, Page};

use crate::contact::add_part;
use crate::database::{behind_the_back, on_both};
use crate::everything::everything;
use crate::pack::bare_report;
use crate::reports::{bring_in, cove, facts, sorting};
use crate::samples::{at, day, somebody};

#[test]
fn who_is_on_call_is_mailed_with_the_report_once_and_retired_people_are_not() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        let (fell, brook) =
            (somebody(store, "fell", Role::Engineer).await, somebody(store, "brook", Role::Engineer).await);
        for (person, address) in [(&fell, "fell@rescue.example"), (&brook, "brook@rescue.example")] {
            let Actor::Person { id, .. } = person else { panic!("a person") };
            let address = MailAddress::parse(address).expect("an address");
            store.set_on_call(person, at(1), *id, Some(&address)).await.expect("set");
        }
        let Actor::Person { id, .. } = brook else { panic!("a person") };
        store.retire_user(&Actor::Program, at(1), id).await.expect("retired");
        let alarm = MailWords { subject: "Near miss".into(), text: "N-1".into(), html: "<p>N-1</p>".into() };
        let facts = IntakeFacts { alarm: Some(alarm), ..facts("N-1") };
        for _ in 0..2 {
            store.send_report(&cove(), at(2), &bare_report("N-1"), &facts, &[]).await.expect("sent");
        }
        let mails = store.take_mail(at(2), 9).await.expect("taken");
        assert_eq!(mails.iter().map(|one| one.mail.to.as_str()).collect::<Vec<_>>(), ["fell@rescue.example"]);
        // Where the report is refused, nobody is called.
        let nowhere = Report { unit: "NOWHERE".into(), ..bare_report("N-2") };
        let facts = IntakeFacts {
            receipt_code: "2".into(),
            client_key: "2".into(),
            secret_hash: "2".into(),
            ..facts
        };
        store.send_report(&cove(), at(3), &nowhere, &facts, &[]).await.expect_err("no such unit");
        assert!(store.take_mail(at(3), 9).await.expect("taken").is_empty());
        let Actor::Person { id, .. } = fell else { panic!("a person") };
        store.set_on_call(&fell, at(4), id, None).await.expect("off duty");
        assert!(store.on_call().await.expect("read").is_empty());
    });
}

#[test]
fn a_failed_release_waits_behind_harm_and_before_the_rest_and_its_clock_ends_with_the_sorting() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        add_part(&fresh.url, "QR-7", "QRC").await;
        let of = |n: u32, harm, part_no: Option<&str>, found_when| Report {
            received_on: day(4, 9),
            harm: Some(harm),
            part_no: part_no.map(Into::into),
            found_when,
            ..bare_report(&format!("N-{n}"))
        };
        let sent = [
            of(1, Harm::None, None, None),
            of(2, Harm::None, Some("QR-7"), Some(FoundWhen::OnReceipt)),
            of(3, Harm::NearMiss, None, None),
        ];
        for (minute, report) in (1..).zip(&sent) {
            store
                .send_report(&cove(), at(minute), report, &facts(&report.report_ref), &[])
                .await
                .expect("sent");
        }
        let waiting = store.waiting_reports(Page::first(50)).await.expect("read");
        let ours: Vec<_> = waiting.iter().filter(|line| line.report.report_ref.starts_with("N-")).collect();
        let refs: Vec<&str> = ours.iter().map(|line| line.report.report_ref.as_str()).collect();
        assert_eq!(refs, ["N-3", "N-2", "N-1"]);
        let clocks: Vec<_> =
            ours.iter().map(|line| line.danger.map(|d| (d.why, d.category, d.due))).collect();
        let fourth_night = day(5, 8).and_hms_opt(0, 0, 0).expect("midnight").and_utc();
        assert_eq!(
            clocks,
            [
                Some((Why::NearMiss, Category::One, at(3) + Duration::hours(24))),
                Some((Why::Release, Category::Two, fourth_night)),
                None
            ]
        );
        let engineer = somebody(store, "fell", Role::Engineer).await;
        store.sort_report(&engineer, at(9), ("N-3", None), &sorting(None)).await.expect("sorted");
        let waiting = store.waiting_reports(Page::first(50)).await.expect("read");
        assert!(waiting.iter().all(|line| line.report.report_ref != "N-3"));
        let file = store.find_report_file("N-3").await.expect("read").expect("there");
        assert!(file.danger.is_some(), "what it was it stays");
    });
}

#[test]
fn a_unit_has_heard_once_somebody_asked_sorted_or_answered() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        let engineer = somebody(store, "fell", Role::Engineer).await;
        for n in 1..=4 {
            let report = bare_report(&format!("N-{n}"));
            store.send_report(&cove(), at(n), &report, &facts(&report.report_ref), &[]).await.expect("sent");
        }
        store.ask(&engineer, at(10), "N-1", "Which lot?").await.expect("asked");
        store.sort_report(&engineer, at(20), ("N-1", None), &sorting(None)).await.expect("sorted");
        store.answer_report(&engineer, at(30), ("N-1", None), "A weak slider.").await.expect("answered");
        store.answer_report(&engineer, at(40), ("N-1", None), "It is changed.").await.expect("told more");
        store.sort_report(&engineer, at(21), ("N-2", None), &sorting(None)).await.expect("sorted");
        store.sort_report(&engineer, at(50), ("N-2", None), &sorting(None)).await.expect("sorted anew");
        store.set_aside(&engineer, at(22), ("N-3", None), "Reported before.").await.expect("set aside");
        let mut heard = store.heard_since(at(0)).await.expect("read");
        heard.sort_by_key(|one| one.sent);
        let moments: Vec<_> = heard.iter().map(|one| (one.first, one.last)).collect();
        assert_eq!(
            moments,
            [(Some(at(10)), Some(at(30))), (Some(at(21)), None), (Some(at(22)), Some(at(22))), (None, None)]
        );
        assert_eq!(store.heard_since(at(3)).await.expect("read").len(), 2, "imported reports have no moment");
        assert!(store.heard_since(at(5)).await.expect("read").is_empty());
        if fresh.is_sqlite {
            // Whatever is wrong with reports that came before, they are not read.
            let spoilt = "UPDATE report_handling SET sorted_at = 'never' WHERE report_ref = 'N-1'";
            behind_the_back(&fresh.url, spoilt).await.expect("spoilt");
            assert!(store.heard_since(at(0)).await.is_err());
            assert_eq!(store.heard_since(at(3)).await.expect("read").len(), 2);
        }
    });
}
