//! The journal: every write is in it, nothing in it can be changed, and it says when figures are stale.

use chrono::Days;
use domain::permission::{Actor, Role};
use store::{JournalFilter, NewUnitLink, Page};

use crate::database::{behind_the_back, on_both};
use crate::samples::{at, day, somebody, unit};

#[test]
fn a_write_and_its_entry_stand_together() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        let oda = somebody(store, "oda", Role::Administrator).await;
        store.add_unit(&oda, at(1), &unit("COVE-2")).await.expect("added");
        let filter = JournalFilter { noun: Some("unit".into()), ..JournalFilter::default() };
        let entries = store.journal(&filter, Page::first(10)).await.expect("read");
        assert_eq!(entries.len(), 1);
        let entry = &entries[0];
        assert_eq!((entry.act.as_str(), entry.key.as_str()), ("add", "COVE-2"));
        assert_eq!((entry.actor.as_str(), entry.at), ("oda of the base", at(1)));
        assert!(entry.user_id.is_some());
        let after = entry.after.as_deref().expect("a state after");
        assert!(after.contains("\"code\":\"COVE-2\"") && after.contains("\"kind\":\"wearing\""), "{after}");
    });
}

#[test]
fn a_refused_write_leaves_no_entry() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        store.add_unit(&Actor::Program, at(1), &unit("COVE-2")).await.expect("added");
        let again = store.add_unit(&Actor::Program, at(2), &unit("COVE-2")).await;
        assert_eq!(again.unwrap_err().to_string(), "there is a unit `COVE-2` already");
        let entries = store.journal(&JournalFilter::default(), Page::first(10)).await.expect("read");
        assert_eq!(entries.len(), 1);
    });
}

#[test]
fn the_database_refuses_to_alter_or_remove_an_entry() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        store.add_unit(&Actor::Program, at(1), &unit("COVE-2")).await.expect("added");
        let mut attempts = vec!["UPDATE journal SET actor = 'nobody'", "DELETE FROM journal"];
        attempts.push(if fresh.is_sqlite {
            "REPLACE INTO journal (id, at, actor, act, noun, key, touches_field) \
             VALUES (1, '2026-01-01', 'x', 'x', 'x', 'x', 1)"
        } else {
            "TRUNCATE journal"
        });
        for attempt in attempts {
            let refused = behind_the_back(&fresh.url, attempt).await.expect_err(attempt);
            assert!(refused.to_string().contains("the journal is append-only"), "{attempt}: {refused}");
        }
        let entries = store.journal(&JournalFilter::default(), Page::first(10)).await.expect("read");
        assert_eq!((entries.len(), entries[0].actor.as_str()), (1, "the program"));
    });
}

#[test]
fn signing_in_does_not_make_figures_stale() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        assert_eq!(store.journal_number().await.expect("read"), 0);
        store.add_unit(&Actor::Program, at(1), &unit("COVE-2")).await.expect("added");
        let number = store.journal_number().await.expect("read");
        assert!(number > 0);
        let Actor::Person { id, .. } = somebody(store, "oda", Role::Engineer).await else { panic!() };
        store.add_sign_in(at(2), "digest", id, at(60)).await.expect("signed in");
        assert_eq!(store.journal_number().await.expect("read"), number);
        store.add_unit(&Actor::Program, at(3), &unit("RIDGE-1")).await.expect("added");
        assert!(store.journal_number().await.expect("read") > number);
    });
}

#[test]
fn entries_are_found_by_name_day_and_age() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        let oda = somebody(store, "oda", Role::Administrator).await;
        store.add_unit(&oda, at(1), &unit("COVE-2")).await.expect("added");
        store.add_unit(&Actor::Program, at(2) + Days::new(1), &unit("RIDGE-1")).await.expect("added");
        let keys = async |filter: JournalFilter| {
            let entries = store.journal(&filter, Page::first(9)).await.expect("read");
            entries.into_iter().map(|entry| entry.key).collect::<Vec<_>>()
        };
        let all = JournalFilter::default;
        assert_eq!(keys(JournalFilter { actor: Some("ODA of".into()), ..all() }).await, ["COVE-2"]);
        assert_eq!(keys(JournalFilter { actor: Some("o%a".into()), ..all() }).await, [""; 0]);
        assert_eq!(keys(JournalFilter { from: Some(day(5, 5)), ..all() }).await, ["RIDGE-1"]);
        assert_eq!(keys(JournalFilter { until: Some(day(5, 4)), ..all() }).await, ["COVE-2", "oda"]);
        assert_eq!(keys(JournalFilter { from: Some(day(5, 6)), ..all() }).await, [""; 0]);
        let latest = store.journal(&all(), Page::first(1)).await.expect("read")[0].id;
        assert_eq!(keys(JournalFilter { older_than: Some(latest), ..all() }).await, ["COVE-2", "oda"]);
    });
}

#[test]
fn every_kind_of_thing_that_has_an_entry_is_told_once() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        assert_eq!(store.journal_nouns().await.expect("read"), [""; 0]);
        let oda = somebody(store, "oda", Role::Engineer).await;
        assert_eq!(store.journal_nouns().await.expect("read"), ["user"]);
        let Actor::Person { id, .. } = oda else { panic!("not a person") };
        for (minute, code) in (1..).zip(["COVE-2", "RIDGE-1"]) {
            store.add_unit(&oda, at(minute), &unit(code)).await.expect("added");
        }
        store.add_sign_in_link(&oda, at(3), "link", id, at(60)).await.expect("made");
        store.add_sign_in(at(4), "digest", id, at(60)).await.expect("signed in");
        let link = NewUnitLink { unit: "COVE-2".into(), token_hash: "t".into(), label: "door".into() };
        store.add_unit_link(&oda, at(5), &link).await.expect("made");
        let mut told = store.journal_nouns().await.expect("read");
        // Where a blank stands among letters is the server's to say.
        told.sort();
        assert_eq!(told, ["sign-in", "sign-in link", "unit", "unit link", "user"]);
    });
}
