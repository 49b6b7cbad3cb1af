//! Dockets: changes before the board in order, advice by name, nothing altered once the chair has decided.

use domain::change_record::Disposition;
use domain::class::Class;
use domain::docket::Meeting;
use domain::permission::{Actor, Role};
use store::{JournalFilter, Page, StoreError};

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
            let no = store.draft_change(&engineer, at(second), &zip_change()).await.expect("drafted");
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
