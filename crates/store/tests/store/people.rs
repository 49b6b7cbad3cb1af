//! People, their passwords, sign-ins, one-time links, unit links and keys.

use domain::permission::{Actor, Role};
use store::{JournalFilter, NewApiKey, NewUnitLink, NewUser, Page, StoreError, UserEdit};

use crate::database::on_both;
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
