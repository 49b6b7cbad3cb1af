//! Documents that left the house are kept as they went, once each, and their figures beside them.

use domain::permission::Role;
use domain::published::{DocumentKind, Figure, Measure, of_change};
use store::{JournalFilter, NewPublished, Page};

use crate::database::on_both;
use crate::samples::{at, somebody};

fn notice(sha256: &str, value: Option<f64>) -> NewPublished {
    let figure =
        |measure, value| Figure { measure, filter: of_change("2026-014"), value, text: "2.3".into() };
    NewPublished {
        kind: DocumentKind::FieldingNotice,
        subject: "2026-014".into(),
        maker: None,
        title: "Coated slider".into(),
        as_of: at(0),
        sha256: sha256.into(),
        bytes: vec![0, 255, 10],
        figures: vec![figure(Measure::RateBefore, value), figure(Measure::RateAfter, None)],
    }
}

#[test]
fn a_file_is_kept_as_it_went_and_its_figures_in_their_order() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        let engineer = somebody(store, "fell", Role::Engineer).await;
        let first = store.publish(&engineer, at(1), &notice("aa", Some(2.3))).await.unwrap();
        let second = store.publish(&engineer, at(1), &notice("bb", None)).await.unwrap();
        let all = store.list_published(Page::first(10)).await.unwrap();
        assert_eq!(all.iter().map(|one| one.id).collect::<Vec<_>>(), [second, first]);
        assert_eq!(all[1].figures, notice("aa", Some(2.3)).figures);
        assert_eq!(all[0].figures[0].value, None);
        let (name, bytes) = store.find_published_file(first).await.unwrap().unwrap();
        assert_eq!((name.as_str(), bytes), ("2026-014 fielding notice", vec![0, 255, 10]));
        assert!(store.find_published_file(second + 1).await.unwrap().is_none());
    });
}

#[test]
fn the_same_file_is_published_once_and_the_journal_holds_no_bytes() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        let engineer = somebody(store, "fell", Role::Engineer).await;
        let before = store.journal_number().await.unwrap();
        let first = store.publish(&engineer, at(1), &notice("aa", Some(2.3))).await.unwrap();
        assert_eq!(store.publish(&engineer, at(1), &notice("aa", Some(2.3))).await.unwrap(), first);
        assert_eq!(store.list_published(Page::first(10)).await.unwrap().len(), 1);
        let filter = JournalFilter { noun: Some("published".into()), ..JournalFilter::default() };
        let told = store.journal(&filter, Page::first(10)).await.unwrap();
        assert_eq!((told.len(), told[0].act.as_str(), told[0].key.as_str()), (1, "publish", "2026-014"));
        assert!(!told[0].after.as_deref().unwrap().contains("bytes"));
        assert_eq!(store.journal_number().await.unwrap(), before, "no figure of the field has changed");
    });
}
