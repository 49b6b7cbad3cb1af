//! Signals of the watch: raised once, ended once, and told as they were raised.

use chrono::NaiveDate;
use domain::signal::{RaisedSignal, Series};
use store::{JournalFilter, Page};

use crate::database::on_both;
use crate::samples::at;

fn signal(used_lot: Option<&str>, first_on: &str) -> RaisedSignal {
    let used_lot = used_lot.map(str::to_owned);
    let of = Series { part_no: "ZIP-9".into(), mode: "ZIP-1".into(), used_lot };
    RaisedSignal { of, first_on: first_on.parse().expect("a date"), weeks: 5, reports: 9, expected: 2.5 }
}

#[test]
fn a_signal_stays_as_it_was_raised_until_it_ends_and_may_be_raised_again() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        let number = store.journal_number().await.expect("read");
        let (all, lot) = (signal(None, "2026-11-01"), signal(Some("TAPE lot T-1"), "2026-11-08"));
        let turned = store.keep_signals(at(0), &[all.clone(), lot.clone()]).await.expect("kept");
        assert_eq!((turned.raised.len(), turned.ended.len()), (2, 0));
        // The books tell more: the day of one moves, and the other is gone.
        let moved = signal(None, "2026-10-11");
        let turned = store.keep_signals(at(1), std::slice::from_ref(&moved)).await.expect("kept");
        assert_eq!((turned.raised.len(), turned.ended.len()), (0, 1));
        let again = store.keep_signals(at(2), std::slice::from_ref(&moved)).await.expect("kept");
        assert!(again.is_nothing());
        let open = store.open_signals().await.expect("read");
        assert_eq!(open.iter().map(|kept| &kept.raised).collect::<Vec<_>>(), [&all]);
        store.keep_signals(at(3), &[moved, lot.clone()]).await.expect("kept");
        let told = store.signals_of(("ZIP-9", "ZIP-1"), 9).await.expect("read");
        let today: NaiveDate = at(0).date_naive();
        assert_eq!(
            told.iter().map(|kept| (&kept.raised, kept.raised_on, kept.ended_on)).collect::<Vec<_>>(),
            [(&lot, today, None), (&lot, today, Some(today)), (&all, today, None)]
        );
        assert_eq!(store.signals_of(("ZIP-9", "ZIP-1"), 1).await.expect("read"), told[..1]);
        assert_eq!(store.signals_of(("ZIP-9", "ZIP-2"), 9).await.expect("read"), []);
        let filter = JournalFilter { noun: Some("signal".into()), ..JournalFilter::default() };
        let entries = store.journal(&filter, Page::first(9)).await.expect("read");
        let acts: Vec<String> = entries.iter().map(|entry| format!("{} {}", entry.act, entry.key)).collect();
        let lot = "ZIP-9 ZIP-1, TAPE lot T-1";
        assert_eq!(
            acts,
            [
                format!("raise {lot}"),
                format!("end {lot}"),
                format!("raise {lot}"),
                "raise ZIP-9 ZIP-1".into()
            ]
        );
        assert_eq!(store.journal_number().await.expect("read"), number, "no figure rests on it");
    });
}
