//! Dockets: changes before the board in order, advice by name, nothing altered once the chair has decided.

use domain::change_record::Disposition;
use domain::class::Class;
use domain::docket::Meeting;
use domain::permission::{Actor, Role};
use store::{Basis, JournalFilter, NewChange, Page, Shown, StoreError, digest_of};

use crate::change_samples::{basis, decision, parts, zip_change};
use crate::database::on_both;
use crate::samples::{at, day, somebody};

#[test]
fn a_docket_keeps_its_order_and_the_last_advice_of_each_member() {
    on_both(|fresh| async move {
        parts(&fresh).await;
        let store = &fresh.store;
        let engineer = somebody(store, "fell", Role::Engineer).await;
        let (brook, reed) =
            (somebody(store, "brook", Role::Board).await, somebody(store, "reed", Role::Board).await);
        let meeting = Meeting { held_on: day(6, 1), title: "June board".into() };
        let id = store.add_meeting(&engineer, at(1), &meeting).await.expect("called");
        let mut numbers = Vec::new();
        for second in [2, 3] {
            let new = NewChange { title: format!("Wider slide fastener {second}"), ..zip_change() };
            let no = store.draft_change(&engineer, at(second), &new).await.expect("drafted");
            let early = store.put_on_docket(&engineer, at(second), id, &no).await.unwrap_err();
            assert!(early.to_string().contains("this change is draft"), "{early}");
            store.submit_change(&engineer, at(second), &no, 1, Class::One, None).await.expect("submitted");
            store.put_on_docket(&engineer, at(second), id, &no).await.expect("put on");
            numbers.push(no);
        }
        let again = store.put_on_docket(&engineer, at(4), id, &numbers[0]).await.unwrap_err();
        assert!(matches!(again, StoreError::Taken { .. }));
        store.move_up_docket(&engineer, at(5), id, &numbers[1]).await.expect("moved");
        let on = (id, numbers[0].as_str());
        store.advise(&brook, at(6), on, Disposition::Defer, "more bench").await.expect("advised");
        store.advise(&reed, at(7), on, Disposition::Approve, "enough").await.expect("advised");
        store.advise(&brook, at(8), on, Disposition::Approve, " the bench came ").await.expect("advised");
        assert!(store.advise(&Actor::Program, at(9), on, Disposition::Approve, "x").await.is_err());
        assert!(store.advise(&brook, at(9), on, Disposition::Approve, "  ").await.is_err());
        let docket = store.find_docket(id).await.expect("read").expect("there");
        let order: Vec<&str> = docket.lines.iter().map(|line| line.change_no.as_str()).collect();
        assert_eq!(order, [numbers[1].as_str(), numbers[0].as_str()]);
        let advice: Vec<(&str, Disposition, &str)> = docket.lines[1]
            .advice
            .iter()
            .map(|one| (one.by.as_str(), one.recommends, one.words.as_str()))
            .collect();
        let (reed, brook) = ("reed of the base", "brook of the base");
        assert_eq!(
            advice,
            [(reed, Disposition::Approve, "enough"), (brook, Disposition::Approve, "the bench came")]
        );
        assert_eq!(store.list_meetings().await.expect("read")[0].changes, 2);
        let filter = JournalFilter { noun: Some("meeting".into()), ..JournalFilter::default() };
        let entries = store.journal(&filter, Page::first(1)).await.expect("read");
        assert!(entries[0].before.as_deref().is_some_and(|before| before.contains("more bench")));
    });
}

#[test]
fn once_a_change_is_decided_nobody_advises_and_it_stays_on_the_docket() {
    on_both(|fresh| async move {
        parts(&fresh).await;
        let store = &fresh.store;
        let engineer = somebody(store, "fell", Role::Engineer).await;
        let chair = somebody(store, "brook", Role::Board).await;
        let meeting = Meeting { held_on: day(6, 1), title: "June board".into() };
        let id = store.add_meeting(&engineer, at(1), &meeting).await.expect("called");
        let no = store.draft_change(&engineer, at(2), &zip_change()).await.expect("drafted");
        store.submit_change(&engineer, at(3), &no, 1, Class::One, None).await.expect("submitted");
        store.put_on_docket(&engineer, at(4), id, &no).await.expect("put on");
        store
            .decide_change(&chair, at(5), &no, &decision(Disposition::Approve), &basis())
            .await
            .expect("decided");
        assert!(store.advise(&chair, at(6), (id, &no), Disposition::Defer, "late").await.is_err());
        assert!(store.take_off_docket(&engineer, at(7), id, &no).await.is_err());
        assert_eq!(store.find_docket(id).await.expect("read").expect("there").lines.len(), 1);
    });
}

#[test]
fn what_was_advised_before_a_decision_stays_though_the_change_comes_before_the_board_again() {
    on_both(|fresh| async move {
        parts(&fresh).await;
        let store = &fresh.store;
        let engineer = somebody(store, "fell", Role::Engineer).await;
        let chair = somebody(store, "brook", Role::Board).await;
        let reed = somebody(store, "reed", Role::Board).await;
        let call = async |month: u32, title: &str| {
            let meeting = Meeting { held_on: day(month, 1), title: title.into() };
            store.add_meeting(&engineer, at(1), &meeting).await.expect("called")
        };
        let (june, july) = (call(6, "June board").await, call(7, "July board").await);
        assert_eq!(call(6, "June board").await, june, "sent twice is called once");
        let no = store.draft_change(&engineer, at(2), &zip_change()).await.expect("drafted");
        store.submit_change(&engineer, at(3), &no, 1, Class::One, None).await.expect("submitted");
        store.put_on_docket(&engineer, at(4), june, &no).await.expect("put on");
        store.advise(&reed, at(4), (june, &no), Disposition::Defer, "more bench").await.expect("advised");
        // All in one minute: what came first is told by the journal, not by the clock.
        let deferred = decision(Disposition::Defer);
        store.decide_change(&chair, at(4), &no, &deferred, &basis()).await.expect("decided");
        store.submit_change(&engineer, at(4), &no, 2, Class::One, None).await.expect("submitted again");
        let late = store.advise(&reed, at(5), (june, &no), Disposition::Approve, "enough").await.unwrap_err();
        let says = "the board has decided on this change since it was put on this docket";
        assert!(late.to_string().contains(says), "{late}");
        let off = store.take_off_docket(&engineer, at(5), june, &no).await.unwrap_err();
        assert!(off.to_string().contains(says), "{off}");

        store.put_on_docket(&engineer, at(6), july, &no).await.expect("put on");
        store.advise(&reed, at(6), (july, &no), Disposition::Approve, "enough").await.expect("advised");
        let line = async |id| store.find_docket(id).await.expect("read").expect("there").lines.remove(0);
        let of_june = line(june).await;
        assert_eq!(of_june.decided.map(|one| one.decided), Some(deferred));
        assert_eq!((of_june.advice.len(), of_june.advice[0].words.as_str()), (1, "more bench"));
        assert_eq!(line(july).await.decided, None);

        store.take_off_docket(&engineer, at(7), july, &no).await.expect("taken off");
        let filter = JournalFilter { noun: Some("meeting".into()), ..JournalFilter::default() };
        let entry = store.journal(&filter, Page::first(1)).await.expect("read").remove(0);
        let before: serde_json::Value =
            serde_json::from_str(entry.before.as_deref().expect("a state")).expect("JSON");
        let advice =
            serde_json::json!({ "by": "reed of the base", "recommends": "approve", "words": "enough" });
        assert_eq!((entry.act.as_str(), &before["advice"]["1"]), ("take off", &advice));

        store.put_on_docket(&engineer, at(8), july, &no).await.expect("put on again");
        let approved = decision(Disposition::Approve);
        let shown = Shown { version: 3, evidence: Some(digest_of(&basis().evidence.document)) };
        let basis = Basis { shown, ..basis() };
        store.decide_change(&chair, at(9), &no, &approved, &basis).await.expect("decided");
        assert_eq!(line(july).await.decided.map(|one| one.decided), Some(approved));
        assert_eq!(line(june).await.decided.map(|one| one.decided.disposition), Some(Disposition::Defer));
    });
}
