//! Units: added, found, searched; settings; what can't be read back is named.

use domain::permission::Actor;
use domain::unit::Unit;
use store::{JournalFilter, Page, Store, StoreError};

use crate::database::{behind_the_back, on_both};
use crate::samples::{at, unit};

#[test]
fn a_unit_reads_back_as_it_was() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        store.add_unit(&Actor::Program, at(0), &unit("COVE-2")).await.expect("added");
        assert_eq!(store.find_unit("COVE-2").await.expect("read"), Some(unit("COVE-2")));
        assert_eq!(store.find_unit("COVE-3").await.expect("read"), None);
        assert_eq!(store.list_units().await.expect("read"), [unit("COVE-2")]);
    });
}

#[test]
fn a_search_takes_any_case_and_no_wildcards() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        for code in ["COVE-2", "COVE-20", "RIDGE-1"] {
            store.add_unit(&Actor::Program, at(0), &unit(code)).await.expect("added");
        }
        let found = store.search_units("cove", Page { number: 0, size: 1 }).await.expect("read");
        assert_eq!(found, [unit("COVE-2")]);
        let next = store.search_units("cove", Page { number: 1, size: 1 }).await.expect("read");
        assert_eq!(next, [unit("COVE-20")]);
        assert!(store.search_units("c%v_", Page::first(9)).await.expect("read").is_empty());
    });
}

/// `PostgreSQL` takes no zero character; that is a slip of the sender and no failure of the database.
#[test]
fn a_zero_character_is_refused_or_kept_and_never_a_failure() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        let found = store.find_unit("COVE\0").await;
        let added = store.add_unit(&Actor::Program, at(0), &unit("COVE\0")).await;
        for error in [found.err(), added.err()].into_iter().flatten() {
            assert!(matches!(error, StoreError::Refused(_)), "{error}");
        }
    });
}

#[test]
fn a_value_that_cant_be_read_is_named() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        store.add_unit(&Actor::Program, at(0), &unit("COVE-2")).await.expect("added");
        behind_the_back(&fresh.url, "UPDATE unit SET kind = 'ship'").await.expect("spoiled");
        let error = store.find_unit("COVE-2").await.unwrap_err();
        assert_eq!(error.to_string(), "the stored value unit.kind of row 1 can't be read");
        assert!(matches!(error, StoreError::Corrupt { table: "unit", column: "kind", .. }));
    });
}

#[test]
fn a_setting_is_what_was_set_last() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        assert_eq!(store.find_setting("answer address").await.expect("read"), None);
        for value in ["one", "two"] {
            store.set_setting(&Actor::Program, at(0), "answer address", value).await.expect("set");
        }
        assert_eq!(store.find_setting("answer address").await.expect("read").as_deref(), Some("two"));
        let entries = store.journal(&JournalFilter::default(), Page::first(9)).await.expect("read");
        assert_eq!(entries[0].before.as_deref(), Some(r#"{"key":"answer address","value":"one"}"#));
    });
}

#[test]
fn an_address_of_no_database_is_refused_in_words() {
    let runtime = tokio::runtime::Builder::new_current_thread().build().expect("a runtime");
    for url in ["mysql://somewhere/x", "sqlite::memory:", "sqlite://", "books.sqlite"] {
        let refused = runtime.block_on(Store::connect(url)).err().expect(url);
        assert!(refused.to_string().starts_with("DATABASE_URL: expected "), "{url}: {refused}");
    }
}

#[test]
fn a_search_finds_letters_beyond_ascii_in_any_case_on_both_databases() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        let named = |code: &str, name: &str| Unit { name: Some(name.into()), ..unit(code) };
        for (code, name) in
            [("E-1", "Écrins"), ("E-2", "refuge des écrins"), ("L-1", "ŁÓDŹ hut"), ("O-1", "Øst Étoilé")]
        {
            store.add_unit(&Actor::Program, at(0), &named(code, name)).await.expect("added");
        }
        let found = async |text: &str| -> Vec<String> {
            let found = store.search_units(text, Page::first(9)).await.expect("read");
            found.into_iter().map(|unit| unit.unit).collect()
        };
        for text in ["Écrins", "écrins", "ÉCRINS", " éCRI"] {
            assert_eq!(found(text).await, ["E-1", "E-2"], "{text}");
        }
        assert_eq!(found("łódź HUT").await, ["L-1"]);
        assert_eq!(found("øST éToilÉ").await, ["O-1"]);
        assert_eq!(found("ecrins").await, [""; 0], "another letter is another letter");
        // More letters than a database nests calls are an answer too.
        let every: String = ('\u{e0}'..='\u{17e}').chain('\u{3b1}'..='\u{44f}').collect();
        assert_eq!(found(&every).await, [""; 0]);
    });
}
