//! People, their passwords, sign-ins, one-time links, unit links and keys.

use chrono::TimeDelta;
use domain::mail_address::MailAddress;
use domain::permission::{Actor, Role};
use store::{IntakeFacts, JournalFilter, NewApiKey, NewUnitLink, NewUser, Page, StoreError, UserEdit};

use crate::database::{behind_the_back, on_both};
use crate::everything::everything;
use crate::pack::bare_report;
use crate::reports::{bring_in, cove, facts};
use crate::samples::{at, somebody, unit};

fn id_of(actor: &Actor) -> i64 {
    let Actor::Person { id, .. } = actor else { panic!("not a person") };
    *id
}

#[test]
fn a_sign_in_name_belongs_to_one_person() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        somebody(store, "oda", Role::Engineer).await;
        let other = NewUser {
            name: "oda".into(),
            full_name: "Another".into(),
            role: Role::Board,
            unit: None,
            password_hash: None,
        };
        let refused = store.add_user(&Actor::Program, at(1), &other).await;
        assert!(matches!(refused, Err(StoreError::Taken { noun: "user", key }) if key == "oda"));
        assert_eq!(store.list_users().await.expect("read").len(), 1);
    });
}

#[test]
fn a_sign_in_lasts_until_its_end() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        let oda = somebody(store, "oda", Role::Engineer).await;
        store.add_sign_in(at(0), "digest", id_of(&oda), at(30)).await.expect("signed in");
        assert_eq!(store.find_sign_in("digest", at(29)).await.expect("read"), Some(oda.clone()));
        assert_eq!(store.find_sign_in("digest", at(30)).await.expect("read"), None);
        assert_eq!(store.find_sign_in("other", at(1)).await.expect("read"), None);
        store.end_sign_in(&oda, at(1), "digest").await.expect("signed out");
        assert_eq!(store.find_sign_in("digest", at(2)).await.expect("read"), None);
    });
}

#[test]
fn a_sign_in_that_is_used_lasts_on_but_not_for_ever() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        let oda = somebody(store, "oda", Role::Engineer).await;
        store.add_sign_in(at(0), "digest", id_of(&oda), at(30)).await.expect("signed in");
        let used = async |minute| {
            let lasts = (TimeDelta::minutes(30), TimeDelta::minutes(70));
            store.use_sign_in("digest", at(minute), lasts).await.expect("read")
        };
        let found = async |minute| store.find_sign_in("digest", at(minute)).await.expect("read");
        assert_eq!(used(4).await, Some(oda.clone()));
        assert_eq!(found(31).await, None, "four minutes are not worth writing");
        for minute in [20, 45, 60] {
            assert_eq!(used(minute).await, Some(oda.clone()), "{minute}");
        }
        assert_eq!(found(69).await, Some(oda.clone()));
        assert_eq!(used(70).await, None, "70 minutes after it began");
        store.end_sign_in(&oda, at(61), "digest").await.expect("signed out");
        assert_eq!(used(62).await, None);
    });
}

#[test]
fn whoever_is_retired_or_changed_is_signed_out() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        let oda = somebody(store, "oda", Role::Engineer).await;
        let id = id_of(&oda);
        store.add_sign_in(at(0), "first", id, at(300)).await.expect("signed in");
        let edit = UserEdit { full_name: "Oda Fell".into(), role: Role::Board, unit: None };
        store.edit_user(&Actor::Program, at(1), id, &edit).await.expect("changed");
        assert_eq!(store.find_sign_in("first", at(2)).await.expect("read"), None);
        assert_eq!(store.find_user(id).await.expect("read").expect("there").role, Role::Board);
        store.retire_user(&Actor::Program, at(3), id).await.expect("retired");
        assert_eq!(store.find_password("oda").await.expect("read"), None);
        assert!(matches!(
            store.add_sign_in(at(4), "second", id, at(300)).await,
            Err(StoreError::Missing { noun: "user", .. })
        ));
        assert!(matches!(
            store.retire_user(&Actor::Program, at(5), id + 100).await,
            Err(StoreError::Missing { .. })
        ));
    });
}

#[test]
fn whoever_was_retired_is_taken_back_as_they_were_but_for_their_links() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        let oda = somebody(store, "oda", Role::Engineer).await;
        let id = id_of(&oda);
        let address = MailAddress::parse("oda@rescue.example").expect("an address");
        store.set_on_call(&oda, at(0), id, Some(&address)).await.expect("set");
        store.add_sign_in_link(&Actor::Program, at(0), "link", id, at(300)).await.expect("made");
        let retired_at = async || store.find_user(id).await.expect("read").expect("there").retired_at;
        for minute in [1, 2] {
            store.retire_user(&Actor::Program, at(minute), id).await.expect("retired");
        }
        assert_eq!(retired_at().await, Some(at(1)), "who is retired is not retired again");
        assert!(store.on_call().await.expect("read").is_empty());
        for minute in [3, 4] {
            store.take_back_user(&Actor::Program, at(minute), id).await.expect("taken back");
        }
        assert_eq!(retired_at().await, None);
        assert!(store.find_password("oda").await.expect("read").is_some());
        assert_eq!(store.on_call().await.expect("read"), [(id, "oda@rescue.example".to_owned())]);
        assert_eq!(store.find_sign_in_link("link", at(5)).await.expect("read"), None);
        store.add_sign_in(at(5), "digest", id, at(300)).await.expect("signed in");
        let filter = JournalFilter { noun: Some("user".into()), ..JournalFilter::default() };
        let entries = store.journal(&filter, Page::first(9)).await.expect("read");
        let acts: Vec<&str> = entries.iter().map(|entry| entry.act.as_str()).collect();
        assert_eq!(acts, ["take back", "retire", "add"]);
        let nobody = store.take_back_user(&Actor::Program, at(6), id + 100).await;
        assert!(matches!(nobody, Err(StoreError::Missing { noun: "user", .. })));
    });
}

#[test]
fn a_new_password_ends_links_used_or_not_and_no_others() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        let (oda, jon) =
            (somebody(store, "oda", Role::Engineer).await, somebody(store, "jon", Role::Board).await);
        for (link, of) in [("used", &oda), ("open", &oda), ("other", &jon)] {
            store.add_sign_in_link(&Actor::Program, at(0), link, id_of(of), at(30)).await.expect("made");
        }
        store.use_sign_in_link("used", at(2)).await.expect("used");
        store.add_sign_in_by_link(at(2), "by link", id_of(&oda), at(99)).await.expect("signed in");
        store.add_sign_in(at(2), "left open", id_of(&oda), at(99)).await.expect("signed in");
        let by_link = async |token, since| store.came_by_link(token, at(since)).await.expect("read");
        assert_eq!((by_link("by link", 2).await, by_link("by link", 3).await), (true, false));
        assert!(!by_link("left open", 0).await, "it is no more than it was");
        store.set_password(&oda, at(4), id_of(&oda), Some("hash".into())).await.expect("set");
        assert!(!by_link("by link", 2).await);
        assert_eq!(store.find_sign_in_link("open", at(5)).await.expect("read"), None);
        assert_eq!(store.find_sign_in_link("other", at(5)).await.expect("read"), Some(jon));
    });
}

#[test]
fn a_link_signs_in_once() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        let oda = somebody(store, "oda", Role::Engineer).await;
        store.add_sign_in_link(&Actor::Program, at(0), "link", id_of(&oda), at(30)).await.expect("made");
        assert_eq!(store.find_sign_in_link("link", at(1)).await.expect("read"), Some(oda.clone()));
        assert_eq!(store.find_sign_in_link("link", at(31)).await.expect("read"), None);
        let (a, b) =
            tokio::join!(store.use_sign_in_link("link", at(2)), store.use_sign_in_link("link", at(2)));
        let used = [a.expect("asked"), b.expect("asked")];
        assert_eq!(used.iter().flatten().count(), 1, "{used:?}");
        assert_eq!(store.find_sign_in_link("link", at(3)).await.expect("read"), None);
    });
}

#[test]
fn a_unit_link_opens_until_it_is_revoked() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        let link = NewUnitLink { unit: "COVE-2".into(), token_hash: "t".into(), label: "store room".into() };
        let nowhere = store.add_unit_link(&Actor::Program, at(0), &link).await;
        assert!(matches!(nowhere, Err(StoreError::Missing { noun: "unit", .. })));
        store.add_unit(&Actor::Program, at(0), &unit("COVE-2")).await.expect("added");
        let id = store.add_unit_link(&Actor::Program, at(1), &link).await.expect("made");
        let found = store.find_unit_link("t").await.expect("read").expect("there");
        assert_eq!((found.id, found.unit.as_str(), found.made_by.as_str()), (id, "COVE-2", "the program"));
        store.revoke_unit_link(&Actor::Program, at(2), id).await.expect("revoked");
        assert_eq!(store.find_unit_link("t").await.expect("read"), None);
        assert_eq!(store.list_unit_links(Some("COVE-2")).await.expect("read")[0].revoked_at, Some(at(2)));
    });
}

#[test]
fn a_unit_link_knows_when_it_last_brought_a_report_and_nothing_of_other_units_is_read() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        let mut links = Vec::new();
        for (unit, label) in [("COVE-2", "door"), ("COVE-2", "boat"), ("COVE-2B", "hut")] {
            let link = NewUnitLink { unit: unit.into(), token_hash: label.into(), label: label.into() };
            links.push(store.add_unit_link(&Actor::Program, at(0), &link).await.expect("made"));
        }
        for (minute, key, link) in [(5, "N-1", 0), (3, "N-2", 0), (7, "N-3", 2)] {
            let facts = IntakeFacts { unit_link_id: Some(links[link]), ..facts(key) };
            store.send_report(&cove(), at(minute), &bare_report(key), &facts, &[]).await.expect("sent");
        }
        store.send_report(&cove(), at(9), &bare_report("N-4"), &facts("N-4"), &[]).await.expect("sent");
        let last = async |unit| store.last_reports_of_unit(unit).await.expect("read");
        assert_eq!(last("COVE-2").await, [(links[0], at(5))].into());
        assert_eq!(last("COVE-2B").await, [(links[2], at(7))].into());
        assert!(last("STORE-1").await.is_empty());
        if fresh.is_sqlite {
            // Whatever is wrong with what another unit sent, it is not read.
            let spoilt = "UPDATE intake SET sent_at = 'never' WHERE report_ref = 'N-3'";
            behind_the_back(&fresh.url, spoilt).await.expect("spoilt");
            assert_eq!(last("COVE-2").await, [(links[0], at(5))].into());
            assert!(store.last_reports_of_unit("COVE-2B").await.is_err());
        }
    });
}

#[test]
fn a_key_acts_for_its_role_or_unit_until_it_is_revoked() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        let key = NewApiKey {
            token_hash: "k".into(),
            label: "workshop sheet".into(),
            role: Role::UnitReporter,
            unit: Some("COVE-2".into()),
        };
        let nowhere = store.add_api_key(&Actor::Program, at(0), &key).await;
        assert!(matches!(nowhere, Err(StoreError::Missing { noun: "unit", .. })));
        store.add_unit(&Actor::Program, at(0), &unit("COVE-2")).await.expect("added");
        store.add_api_key(&Actor::Program, at(1), &key).await.expect("made");
        let acts = Actor::Key { purpose: key.label, role: key.role, unit: key.unit };
        assert_eq!(store.find_api_key("k").await.expect("read"), Some(acts));
        for minute in [2, 3] {
            store.revoke_api_key(&Actor::Program, at(minute), "k").await.expect("revoked");
        }
        assert_eq!(store.find_api_key("k").await.expect("read"), None);
        let kept = store.list_api_keys().await.expect("read").remove(0);
        assert_eq!((kept.made_by.as_str(), kept.revoked_at), ("the program", Some(at(2))));
        let unknown = store.revoke_api_key(&Actor::Program, at(4), "x").await;
        assert!(matches!(unknown, Err(StoreError::Missing { noun: "api key", .. })));
    });
}

#[test]
fn no_secret_reaches_the_journal() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        let oda = somebody(store, "oda", Role::Engineer).await;
        store.add_unit(&oda, at(0), &unit("COVE-2")).await.expect("added");
        store.set_password(&oda, at(1), id_of(&oda), Some("s3cret-digest".into())).await.expect("set");
        let link =
            NewUnitLink { unit: "COVE-2".into(), token_hash: "s3cret-token".into(), label: "l".into() };
        store.add_unit_link(&oda, at(1), &link).await.expect("made");
        store.add_sign_in(at(1), "s3cret-session", id_of(&oda), at(9)).await.expect("signed in");
        let entries = store.journal(&JournalFilter::default(), Page::first(50)).await.expect("read");
        assert!(entries.len() >= 5);
        assert!(!format!("{entries:?}").contains("s3cret"), "{entries:?}");
    });
}
