//! What readers see of changes of the books, when these are small and when they are large.

use axum::http::StatusCode;
use domain::handling::Sorting;
use domain::permission::{Actor, Role};
use domain::unit::{Unit, UnitKind};

use super::*;
use crate::testing::books::signed_in;
use crate::testing::small_books::{bring_in, send_again};
use crate::testing::{get, noon, service, state, text};

async fn add_unit(store: &Store, code: &str) {
    let unit = Unit {
        unit: code.to_owned(),
        name: None,
        kind: UnitKind::Wearing,
        parent_unit: None,
        contact_email: None,
    };
    store.add_unit(&Actor::Program, noon(), &unit).await.unwrap();
}

async fn sort(store: &Store, report_ref: &str) {
    let sorting = Sorting {
        part_no: "RC-131".into(),
        mode: "ZIP-1".into(),
        lot_no: None,
        relevant: true,
        relevant_reason: None,
        chargeable: true,
        chargeable_reason: None,
        cause: None,
    };
    store.sort_report(&Actor::Program, noon(), (report_ref, None), &sorting).await.unwrap();
}

/// A clock on which each reading is `step` after the last.
fn walking(step: TimeDelta) -> Clock {
    let at = Mutex::new(noon());
    Clock::of(move || {
        let mut at = at.lock().unwrap();
        *at += step;
        *at
    })
}

#[tokio::test]
async fn small_books_are_read_again_at_once() {
    let state = state().await;
    let (gallery, clock) = (Arc::new(Gallery::default()), Clock::standing_at(noon()));
    let before = gallery.current(state.store(), &clock).await.unwrap();
    assert!(Arc::ptr_eq(&before, &gallery.current(state.store(), &clock).await.unwrap()));
    add_unit(state.store(), "COVE-2").await;
    let after = gallery.current(state.store(), &clock).await.unwrap();
    assert_eq!((before.field.units.len(), after.field.units.len()), (0, 1));
}

#[tokio::test]
async fn large_books_are_read_behind_readers_who_see_the_picture_before() {
    let state = state().await;
    let (gallery, slow) = (Arc::new(Gallery::default()), walking(TimeDelta::seconds(2)));
    let before = gallery.current(state.store(), &slow).await.unwrap();
    add_unit(state.store(), "COVE-2").await;
    let seen = gallery.current(state.store(), &slow).await.unwrap();
    assert!(Arc::ptr_eq(&before, &seen), "nobody waits");
    // The turn is free again once the next picture hangs.
    drop(gallery.reading.lock().await);
    let after = gallery.current(state.store(), &slow).await.unwrap();
    assert_eq!(after.field.units.len(), 1);
    assert!(after.books_of > before.books_of);
}

/// An act that puts figures on record waits where a reader doesn't.
#[tokio::test]
async fn an_act_on_record_sees_what_was_kept_until_it_asked() {
    let state = state().await;
    bring_in(&state).await;
    let (gallery, slow) = (Arc::new(Gallery::default()), walking(TimeDelta::seconds(2)));
    gallery.current(state.store(), &slow).await.unwrap();
    add_unit(state.store(), "COVE-9").await;
    let behind = gallery.current(state.store(), &slow).await.unwrap();
    let in_step = gallery.in_step(state.store(), &slow).await.unwrap();
    assert_eq!(in_step.field.units.len(), behind.field.units.len() + 1);
    send_again(&state, "R-1").await;
    sort(state.store(), "N-R-1").await;
    let in_step = gallery.in_step(state.store(), &slow).await.unwrap();
    let recurrence = &in_step.analysis.recurrences[0];
    assert_eq!((recurrence.reports, recurrence.newer, recurrence.lots[0].reports), (4, 0, 4));
}

/// However long the books take: a report is in the counts of the next reader, and the slow figures follow behind.
#[tokio::test]
async fn a_report_is_taken_in_without_reading_the_books_anew() {
    let state = state().await;
    bring_in(&state).await;
    let (gallery, slow) = (Arc::new(Gallery::default()), walking(TimeDelta::seconds(2)));
    let before = gallery.current(state.store(), &slow).await.unwrap();
    send_again(&state, "R-1").await;
    let sent = gallery.current(state.store(), &slow).await.unwrap();
    assert_eq!((before.analysis.counts.reports, sent.analysis.counts.reports), (3, 4));
    assert_eq!(sent.analysis.counts.unsorted, 1);
    sort(state.store(), "N-R-1").await;
    let sorted = gallery.current(state.store(), &slow).await.unwrap();
    let recurrence = &sorted.analysis.recurrences[0];
    assert_eq!((recurrence.reports, recurrence.newer, recurrence.lots[0].reports), (4, 1, 3));
    assert_eq!(sorted.analysis.counts.unsorted, 0);
    drop(gallery.catching_up.lock().await);
    let caught_up = gallery.latest().unwrap();
    let recurrence = &caught_up.analysis.recurrences[0];
    assert_eq!((recurrence.reports, recurrence.newer, recurrence.lots[0].reports), (4, 0, 4));
    assert!(
        Arc::ptr_eq(&before.analysis.ledger, &caught_up.analysis.ledger),
        "the ledger was not folded anew"
    );
    assert_eq!(before.field.reports.len(), 3, "an older picture stays as it was");
}

/// Whoever had the turn went away with it: no later write is needed for the figures to follow.
#[tokio::test]
async fn figures_that_were_left_behind_follow_for_the_next_reader() {
    let state = state().await;
    bring_in(&state).await;
    let (gallery, clock) = (Arc::new(Gallery::default()), Clock::standing_at(noon()));
    gallery.current(state.store(), &clock).await.unwrap();
    send_again(&state, "R-1").await;
    sort(state.store(), "N-R-1").await;
    let turn = Arc::clone(&gallery.catching_up).lock_owned().await;
    let behind = gallery.current(state.store(), &clock).await.unwrap();
    assert_eq!(behind.analysis.recurrences[0].newer, 1);
    drop(turn);
    let next = gallery.current(state.store(), &clock).await.unwrap();
    assert_eq!(next.analysis.recurrences[0].newer, 0);
}

#[tokio::test]
async fn adding_one_report_updates_its_page_at_once() {
    let state = state().await;
    bring_in(&state).await;
    let service = service(&state);
    let cookie = signed_in(&state, &service, "tarn", Role::Engineer, None).await;
    let page = async || text(get(&service, "/recurrences/RC-131/ZIP-1", &cookie).await).await;
    assert!(page().await.contains("3 relevant reports"));
    send_again(&state, "R-2").await;
    sort(state.store(), "N-R-2").await;
    let after = page().await;
    assert!(after.contains("4 relevant reports") && !after.contains("3 relevant reports"), "{after}");
}

/// Two programs on one database: what one takes in, the other shows.
#[tokio::test]
async fn two_programs_on_one_database_stay_in_step() {
    let state = state().await;
    bring_in(&state).await;
    let other = Store::connect(&state.config().storage.database_url).await.unwrap();
    let (here, there) = (Arc::new(Gallery::default()), Arc::new(Gallery::default()));
    let clock = Clock::standing_at(noon());
    here.current(state.store(), &clock).await.unwrap();
    there.current(&other, &clock).await.unwrap();
    for n in 0..3 {
        let (from, report_ref) = if n % 2 == 0 { (state.store(), "R-1") } else { (&other, "R-2") };
        if n < 2 {
            send_again(&state, report_ref).await;
        }
        sort(from, &format!("N-{report_ref}")).await;
        let one = here.current(state.store(), &clock).await.unwrap();
        let two = there.current(&other, &clock).await.unwrap();
        assert_eq!(one.analysis.counts, two.analysis.counts);
        assert_eq!(one.analysis.recurrences, two.analysis.recurrences);
        assert_eq!(one.analysis.recurrences[0].reports, 4 + n.min(1));
    }
}

#[tokio::test]
async fn a_program_that_just_started_says_that_it_is_not_ready() {
    let state = state().await;
    let service = service(&state);
    assert_eq!(get(&service, "/health/ready", "").await.status(), StatusCode::SERVICE_UNAVAILABLE);
    assert!(text(get(&service, "/health/ready", "").await).await.contains("reading the books"));
    state.picture().await.unwrap();
    assert_eq!(get(&service, "/health/ready", "").await.status(), StatusCode::OK);
}
