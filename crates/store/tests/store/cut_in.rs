//! The day of a cut-in: refused where it can't be, corrected with a reason while the change is not proved.

use domain::effectivity::{Effectivity, Stage};
use domain::permission::Actor;
use store::{JournalFilter, Page, StoreError};

use crate::change_samples::approved;
use crate::database::{Fresh, behind_the_back, on_both};
use crate::samples::{at, day};

/// An approved change with one lot built to it whose day of make is known, and one whose isn't.
async fn with_lots(fresh: &Fresh) -> (Actor, String) {
    let (engineer, _, no) = approved(fresh).await;
    for lot in ["'A-15', '2025-11-20'", "'A-16', NULL"] {
        let sql = format!(
            "INSERT INTO lot (lot_no, made_on, part_no, revision, maker, purpose) VALUES ({lot}, 'ZIP-9', 'B', '', 'production')"
        );
        behind_the_back(&fresh.url, &sql).await.expect("a lot");
    }
    (engineer, no)
}

#[test]
fn a_cut_in_before_its_lot_was_made_or_before_the_board_saw_it_is_refused() {
    on_both(|fresh| async move {
        let (engineer, no) = with_lots(&fresh).await;
        let store = &fresh.store;
        let long_ago = "2020-01-01".parse().expect("a day");
        let refused = store.cut_in_change(&engineer, at(4), &no, "A-15", long_ago).await.unwrap_err();
        assert_eq!(
            refused.to_string(),
            "cut_in_on: lot A-15 was made on 20 Nov 2025, so it was not cut in on 1 Jan 2020"
        );
        let refused = store.cut_in_change(&engineer, at(4), &no, "A-16", day(5, 3)).await.unwrap_err();
        assert_eq!(
            refused.to_string(),
            "cut_in_on: the change first went before the board on 4 May 2026, so it was not cut in on 3 May 2026"
        );
        // Where the lot bears it out, a record may be written down long after.
        store.cut_in_change(&engineer, at(4), &no, "A-15", day(1, 7)).await.expect("cut in");
    });
}

#[test]
fn the_journal_of_a_cut_in_has_its_lot_its_day_and_the_lots_built_to_it() {
    on_both(|fresh| async move {
        let (engineer, no) = with_lots(&fresh).await;
        let store = &fresh.store;
        store.cut_in_change(&engineer, at(5), &no, "A-15", day(5, 4)).await.expect("cut in");
        let filter = JournalFilter { noun: Some("change".into()), key: Some(no), ..JournalFilter::default() };
        let entries = store.journal(&filter, Page::first(2)).await.expect("read");
        let acts: Vec<&str> = entries.iter().map(|entry| entry.act.as_str()).collect();
        assert_eq!(acts, ["accomplish", "cut in"]);
        let [line, after] = [&entries[0], &entries[1]].map(|entry| json(entry.after.as_deref()));
        let said = ["cut_in_lot", "cut_in_on", "state"].map(|name| after[name].as_str());
        assert_eq!(said, [Some("A-15"), Some("2026-05-04"), Some("cut in")]);
        let before = json(entries[1].before.as_deref());
        assert_eq!((before["state"].as_str(), before.get("cut_in_lot")), (Some("approved"), None));
        let said = ["from_lot", "from_date"].map(|name| line[name].as_str());
        assert_eq!(said, [Some("A-15"), Some("2026-05-04")]);
    });
}

fn json(state: Option<&str>) -> serde_json::Value {
    serde_json::from_str(state.expect("a state")).expect("JSON")
}

#[test]
fn a_change_that_came_with_books_keeps_the_days_it_came_with() {
    on_both(|fresh| async move {
        let (engineer, no) = with_lots(&fresh).await;
        let store = &fresh.store;
        for sql in [
            "INSERT INTO pack_import (id, begun_at, state, \"by\", digests) \
             VALUES (7, '2026-05-04 08:00:00+00:00', 'visible', 'somebody', '{}')",
            "UPDATE change SET import_id = 7",
        ] {
            behind_the_back(&fresh.url, sql).await.expect("as if it came with books");
        }
        store.cut_in_change(&engineer, at(4), &no, "A-16", day(1, 7)).await.expect("cut in");
    });
}

#[test]
fn the_day_of_a_cut_in_is_corrected_with_a_reason_until_the_change_is_proved() {
    on_both(|fresh| async move {
        let (engineer, no) = with_lots(&fresh).await;
        let store = &fresh.store;
        let correct = async |on, reason: &str| store.correct_cut_in(&engineer, at(6), &no, on, reason).await;
        let early = correct(day(5, 6), "a slip").await.unwrap_err();
        assert_eq!(early.to_string(), "cut_in_on: the change is approved, so there is no cut-in to correct");
        store.cut_in_change(&engineer, at(5), &no, "A-15", day(5, 4)).await.expect("cut in");
        for (on, reason, field) in [
            (day(5, 6), " ", "reason"),
            (day(5, 4), "a slip", "cut_in_on"),
            ("2020-01-01".parse().expect("a day"), "a slip", "cut_in_on"),
        ] {
            let refused = correct(on, reason).await;
            assert!(
                matches!(refused, Err(StoreError::Refused(problem)) if problem.field == field),
                "{on} {reason}"
            );
        }
        let before = store.journal_number().await.expect("read");
        correct(day(5, 6), " the delivery note has the 6th ").await.expect("corrected");
        let record = store.find_change_record(&no).await.expect("read").expect("there");
        assert_eq!(record.change.cut_in_on, Some(day(5, 6)));
        let lines = record.effectivity.iter().filter(|line| line.stage == Stage::Accomplished);
        assert_eq!(lines.map(|line| line.from_date).collect::<Vec<_>>(), [Some(day(5, 6))]);
        assert_eq!(record.since, Some(at(5)), "it stands where it stood");
        assert!(store.journal_number().await.expect("read") > before, "the figures are made anew");
        let filter = JournalFilter { key: Some(no.clone()), ..JournalFilter::default() };
        let entry = store.journal(&filter, Page::first(1)).await.expect("read").remove(0);
        assert_eq!(entry.act, "correct cut-in");
        assert_eq!(entry.before.as_deref(), Some("{\"cut_in_on\":\"2026-05-04\"}"));
        assert!(
            entry.after.is_some_and(|after| after.contains("2026-05-06") && after.contains("delivery note"))
        );
        store.conclude_change(&engineer, at(7), &no, true).await.expect("concluded");
        assert!(matches!(correct(day(5, 5), "again").await, Err(StoreError::Refused(_))));
    });
}

/// A line as somebody writes it down after the cut-in.
fn partly(no: &str, share_new: f64) -> Effectivity {
    Effectivity {
        change_no: no.into(),
        stage: Stage::Accomplished,
        maker: None,
        from_lot: Some("A-15".into()),
        to_lot: Some("A-15".into()),
        share_new,
        from_date: None,
    }
}

#[test]
fn a_corrected_day_leaves_the_line_of_the_cut_in_in_its_place_before_a_lot_that_was_built_partly() {
    on_both(|fresh| async move {
        let (engineer, no) = with_lots(&fresh).await;
        let store = &fresh.store;
        store.cut_in_change(&engineer, at(5), &no, "A-15", day(5, 4)).await.expect("cut in");
        store.accomplish(&engineer, at(6), &partly(&no, 0.6)).await.expect("kept");
        store.correct_cut_in(&engineer, at(7), &no, day(5, 6), "a slip").await.expect("corrected");
        let lines = async || {
            let record = store.find_change_record(&no).await.expect("read").expect("there");
            let lines = record.effectivity.into_iter().filter(|line| line.stage == Stage::Accomplished);
            lines.map(|line| (line.share_new, line.from_date)).collect::<Vec<_>>()
        };
        // Where lines differ about a lot the latest counts: it stays the partly built one.
        assert_eq!(lines().await, [(1.0, Some(day(5, 6))), (0.6, None)]);
        store.correct_cut_in(&engineer, at(8), &no, day(5, 5), "a slip again").await.expect("once more");
        assert_eq!(lines().await, [(1.0, Some(day(5, 5))), (0.6, None)]);
        // The very line of the right day may have been written down by hand.
        let by_hand = Effectivity { to_lot: None, from_date: Some(day(5, 4)), ..partly(&no, 1.0) };
        store.accomplish(&engineer, at(9), &by_hand).await.expect("kept");
        store.correct_cut_in(&engineer, at(10), &no, day(5, 4), "it was the 4th").await.expect("corrected");
        assert_eq!(lines().await, [(0.6, None), (1.0, Some(day(5, 4)))]);
    });
}

#[test]
fn a_line_that_is_on_record_already_is_refused_and_the_journal_says_nothing_of_it() {
    on_both(|fresh| async move {
        let (engineer, no) = with_lots(&fresh).await;
        let store = &fresh.store;
        store.cut_in_change(&engineer, at(5), &no, "A-15", day(5, 4)).await.expect("cut in");
        store.accomplish(&engineer, at(6), &partly(&no, 0.6)).await.expect("kept");
        store.accomplish(&engineer, at(7), &partly(&no, 0.4)).await.expect("kept");
        let again = store.accomplish(&engineer, at(8), &partly(&no, 0.6)).await.unwrap_err();
        assert!(again.to_string().starts_with("from_lot: this very line is on record already"), "{again}");
        let filter = JournalFilter { key: Some(no.clone()), ..JournalFilter::default() };
        let entries = store.journal(&filter, Page::first(50)).await.expect("read");
        let told = entries.iter().filter(|entry| entry.act == "accomplish").count();
        assert_eq!(told, 3, "the cut-in's and two more");
    });
}

#[test]
fn a_line_written_down_wrongly_is_taken_back_with_a_reason_and_that_of_the_cut_in_is_not() {
    on_both(|fresh| async move {
        let (engineer, no) = with_lots(&fresh).await;
        let store = &fresh.store;
        store.cut_in_change(&engineer, at(5), &no, "A-15", day(5, 4)).await.expect("cut in");
        store.accomplish(&engineer, at(6), &partly(&no, 0.4)).await.expect("written down");
        let lines = store.accomplished_here(&no).await.expect("read");
        let [cut_in, wrong] = lines.as_slice() else { panic!("{lines:?}") };
        let take_back = async |id, reason: &str| {
            let taken = store.take_back_accomplished(&engineer, at(7), (&no, id), reason).await;
            taken.map_err(|error| error.to_string())
        };
        assert_eq!(take_back(wrong.id, " ").await, Err("reason: say why, in up to 2,000 letters".into()));
        let refused = take_back(cut_in.id, "a slip").await.expect_err("the cut-in");
        assert!(refused.starts_with("line: this line is the cut-in itself"), "{refused}");
        take_back(wrong.id, " the lot was built whole ").await.expect("taken back");
        assert_eq!(take_back(wrong.id, "again").await, Err("line: this line is no longer on record".into()));
        assert_eq!(store.accomplished_here(&no).await.expect("read"), std::slice::from_ref(cut_in));
        let filter = JournalFilter { key: Some(no.clone()), ..JournalFilter::default() };
        let entry = store.journal(&filter, Page::first(1)).await.expect("read").remove(0);
        assert_eq!(entry.act, "take back accomplished");
        assert_eq!(json(entry.before.as_deref())["share_new"], 0.4);
        assert_eq!(json(entry.after.as_deref())["reason"], "the lot was built whole");
        store.accomplish(&engineer, at(8), &partly(&no, 0.4)).await.expect("the same line, right this time");
    });
}
