//! What people confirmed, as suggestions learn from it.

use domain::permission::Actor;
use domain::report::Report;

use crate::database::on_both;
use crate::everything::everything;
use crate::pack::full_report;
use crate::reports::{bring_in, send, sorting};
use crate::samples::at;

#[test]
fn only_what_somebody_confirmed_is_learned_from_the_latest_first() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        let from_the_books = store.confirmed_examples(10).await.expect("read");
        let told = |text: &str, key: &str| Report { narrative: Some(text.into()), ..full_report(key) };
        for (minute, text) in [(1, "one"), (2, "two"), (3, "three")] {
            send(store, minute, &told(text, &format!("N-{minute}"))).await.expect("sent");
        }
        // The units named part and mode themselves; nobody has confirmed that.
        assert_eq!(store.confirmed_examples(10).await.expect("read"), from_the_books);
        store.sort_report(&Actor::Program, at(4), ("N-1", None), &sorting(None)).await.expect("sorted");
        store.sort_report(&Actor::Program, at(4), ("N-2", None), &sorting(None)).await.expect("sorted");
        store.set_aside(&Actor::Program, at(5), ("N-3", None), "a double").await.expect("set aside");
        let confirmed = store.confirmed_examples(10).await.expect("read");
        let words: Vec<(&str, &str)> =
            confirmed.iter().map(|one| (one.narrative.as_str(), one.mode.as_str())).collect();
        assert_eq!(words[..2], [("two", "ZIP-1"), ("one", "ZIP-1")]);
        assert_eq!(words.len(), from_the_books.len() + 2);
        assert_eq!(store.confirmed_examples(1).await.expect("read").len(), 1);
    });
}
