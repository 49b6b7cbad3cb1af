//! Imports: everything reads back as it came, twice is once, nothing is seen before its time, nothing is left behind.

use domain::lot_use::LotUse;
use domain::movement::{Movement, MovementKind};
use domain::pack::Record as _;
use domain::permission::Actor;
use domain::report::Report;
use domain::unit::Unit;
use store::{JournalFilter, Page, Store, StoreError};

use crate::database::{behind_the_back, on_both};
use crate::everything::everything;
use crate::pack::{Pack, bare_report, movement};
use crate::samples::{at, lot, unit};

/// Brings a pack in, whole.
async fn bring_in(store: &Store, pack: &Pack) -> u64 {
    let mut import = store.begin_import(&Actor::Program, at(0), &[]).await.expect("begun");
    let new = pack.stage(&mut import).await.expect("staged");
    import.publish(at(1), &[]).await.expect("published");
    new
}

async fn read(store: &Store) -> Pack {
    Pack::read(&store.books().await.expect("opened")).await
}

#[test]
fn everything_reads_back_as_it_came_and_in_its_order() {
    on_both(|fresh| async move {
        assert_eq!(bring_in(&fresh.store, &everything()).await, 49);
        assert_eq!(read(&fresh.store).await, everything());
    });
}

#[test]
fn twice_is_once() {
    on_both(|fresh| async move {
        bring_in(&fresh.store, &everything()).await;
        assert_eq!(bring_in(&fresh.store, &everything()).await, 0);
        assert_eq!(read(&fresh.store).await, everything());
        // A third equal movement is one more, and nothing but that.
        let mut more = everything();
        more.movements.push(more.movements[0].clone());
        assert_eq!(bring_in(&fresh.store, &more).await, 1);
    });
}

/// Each noun as the answer to whether the books have it.
fn there<T: Clone>(nouns: &[T]) -> Vec<Option<T>> {
    nouns.iter().cloned().map(Some).collect()
}

#[test]
fn what_the_books_have_under_the_keys_of_a_pack_is_told_as_it_stands_there() {
    on_both(|fresh| async move {
        let (store, all) = (&fresh.store, everything());
        let mut import = store.begin_import(&Actor::Program, at(0), &[]).await.expect("begun");
        all.stage(&mut import).await.expect("staged");
        let books = store.books().await.expect("opened");
        assert!(books.filled_tables().await.expect("asked").is_empty(), "nobody sees them yet");
        assert_eq!(books.already_lots(&all.lots).await.expect("asked"), vec![None; all.lots.len()]);
        drop(books);
        import.publish(at(1), &[]).await.expect("published");

        let books = store.books().await.expect("opened");
        assert_eq!(books.filled_tables().await.expect("asked").len(), 16);
        assert_eq!(books.already_units(&all.units).await.expect("asked"), there(&all.units));
        let use_patterns = books.already_use_patterns(&all.use_patterns).await;
        assert_eq!(use_patterns.expect("asked"), there(&all.use_patterns));
        assert_eq!(books.already_parts(&all.parts).await.expect("asked"), there(&all.parts));
        let shares = books.already_size_shares(&all.size_shares).await;
        assert_eq!(shares.expect("asked"), there(&all.size_shares));
        assert_eq!(books.already_components(&all.components).await.expect("asked"), there(&all.components));
        assert_eq!(books.already_weighings(&all.weighings).await.expect("asked"), there(&all.weighings));
        assert_eq!(books.already_lots(&all.lots).await.expect("asked"), there(&all.lots));
        assert_eq!(books.already_lot_uses(&all.lot_uses).await.expect("asked"), there(&all.lot_uses));
        assert_eq!(books.already_serials(&all.serials).await.expect("asked"), there(&all.serials));
        assert_eq!(books.already_movements(&all.movements).await.expect("asked"), there(&all.movements));
        assert_eq!(books.already_demand(&all.demand).await.expect("asked"), there(&all.demand));
        assert_eq!(books.already_reports(&all.reports).await.expect("asked"), there(&all.reports));
        let requirements = books.already_requirements(&all.requirements).await;
        assert_eq!(requirements.expect("asked"), there(&all.requirements));
        assert_eq!(books.already_fit_ranges(&all.fit_ranges).await.expect("asked"), there(&all.fit_ranges));
        assert_eq!(books.already_people(&all.people).await.expect("asked"), there(&all.people));
        assert_eq!(books.already_changes(&all.changes).await.expect("asked"), there(&all.changes));

        // The key alone decides, and what is new is told apart.
        let here = all.movements.iter().find(|one| one.row_ref.is_some()).expect("one has a key").clone();
        let other = Movement { quantity: here.quantity + 1, ..here.clone() };
        let new = Movement { row_ref: Some("8".into()), ..here.clone() };
        let asked = books.already_movements(&[new, other]).await;
        assert_eq!(asked.expect("asked"), [None, Some(here)]);
    });
}

#[test]
fn nobody_sees_a_row_before_the_import_is_published() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        let files = [("units.csv".to_owned(), "digest of units".to_owned())];
        let mut import = store.begin_import(&Actor::Program, at(0), &files).await.expect("begun");
        everything().stage(&mut import).await.expect("staged");
        assert_eq!(read(store).await, Pack::default());
        assert!(store.list_units().await.expect("read").is_empty());
        assert_eq!(store.find_unit("COVE-2").await.expect("read"), None);
        assert!(store.search_lots("L", Page::first(9)).await.expect("read").is_empty());
        assert!(!store.known().await.expect("read").has_unit("COVE-2"));
        assert_eq!(store.journal_number().await.expect("read"), 0);
        import.publish(at(1), &[("units".to_owned(), 3)]).await.expect("published");
        assert_eq!(read(store).await, everything());
        assert!(store.journal_number().await.expect("read") > 0);
        let entries = store.journal(&JournalFilter::default(), Page::first(9)).await.expect("read");
        assert_eq!(entries.len(), 1);
        let after = entries[0].after.as_deref().expect("a state");
        assert_eq!(after, r#"{"counts":{"units":3},"digests":{"units.csv":"digest of units"}}"#);
        let past = store.list_imports().await.expect("read");
        assert_eq!((past.len(), &past[0].digests[..], past[0].ended_at), (1, &files[..], Some(at(1))));
    });
}

#[test]
fn what_was_brought_in_is_known() {
    on_both(|fresh| async move {
        bring_in(&fresh.store, &everything()).await;
        let known = fresh.store.known().await.expect("read");
        assert!(known.has_unit("COVE-2") && known.has_revision("SF-20", "B"));
        assert!(known.has_lot("L-1", None) && known.has_lot("L-1", Some("Oreval Sewing")));
        assert!(known.has_report("R-2") && !known.has_report("R-3"));
        assert!(known.has_change("E-2") && known.has_dimension("chest"));
    });
}

#[test]
fn a_lot_number_that_a_row_names_alone_is_taken_whatever_the_table() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        let mut pack = everything();
        let name = |lot_no: &str| Some(lot_no.to_owned());
        pack.lot_uses[0] = LotUse { lot_no: "L-use".into(), used_lot_no: "L-used".into(), quantity: None };
        pack.serials[0].lot_no = "L-serial".into();
        let moved = Movement { lot_no: name("L-moved"), ..movement(MovementKind::Convert, 1) };
        pack.movements = vec![Movement { to_lot_no: name("L-into"), ..moved }];
        pack.inspections[0].lot_no = name("L-inspected");
        pack.events[0].lot_no = name("L-event");
        pack.events[0].new_lot_no = name("L-new");
        pack.bench_tests[0].lot_no = name("L-tested");
        pack.changes[0].cut_in_lot = name("L-cut-in");
        pack.effectivity[0].maker = None;
        pack.effectivity[0].from_lot = name("L-from");
        pack.effectivity[0].to_lot = name("L-to");
        let named = [
            "L-use",
            "L-used",
            "L-serial",
            "L-moved",
            "L-into",
            "L-inspected",
            "L-event",
            "L-new",
            "L-tested",
            "L-cut-in",
            "L-from",
            "L-to",
        ];
        pack.lots.extend(named.map(|lot_no| lot(lot_no, None)));
        pack.lots.push(lot("L-free", None));
        bring_in(store, &pack).await;
        let known = store.known().await.expect("read");
        let refused = |lot_no: &str, maker| {
            let mut problems = Vec::new();
            lot(lot_no, maker).check_references(&known, &mut problems);
            problems.iter().map(|problem| problem.field).collect::<Vec<_>>()
        };
        for lot_no in named {
            assert_eq!(refused(lot_no, Some("Brant")), ["lot_no"], "{lot_no}");
            assert_eq!(refused(lot_no, None), [""; 0], "{lot_no} itself may come again");
        }
        assert_eq!(refused("L-free", Some("Brant")), [""; 0]);
    });
}

#[test]
fn whoever_has_the_turn_keeps_others_from_importing_before_anything_is_staged() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        let turn = store.import_turn().await.expect("taken");
        let second = store.begin_import(&Actor::Program, at(0), &[]).await;
        assert!(matches!(second, Err(StoreError::ImportRunning)));
        assert_eq!(store.find_import_under_way().await.expect("read"), None, "nothing is staged yet");
        turn.release().await.expect("given back");
        let turn = store.import_turn().await.expect("taken again");
        let mut import = turn.begin(&Actor::Program, at(0), &[]).await.expect("begun");
        assert!(matches!(store.import_turn().await, Err(StoreError::ImportRunning)));
        import.add_units(&[unit("COVE-2")]).await.expect("staged");
        import.publish(at(1), &[]).await.expect("published");
        assert_eq!(store.list_units().await.expect("read"), [unit("COVE-2")]);
    });
}

#[test]
fn an_abandoned_import_leaves_nothing_and_bars_nothing() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        let mut import = store.begin_import(&Actor::Program, at(0), &[]).await.expect("begun");
        everything().stage(&mut import).await.expect("staged");
        import.abandon().await.expect("abandoned");
        assert_eq!(read(store).await, Pack::default());
        assert_eq!(store.journal(&JournalFilter::default(), Page::first(9)).await.expect("read"), []);
        assert_eq!(bring_in(store, &everything()).await, 49);
        assert_eq!(read(store).await, everything());
    });
}

#[test]
fn there_is_one_import_at_a_time() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        let import = store.begin_import(&Actor::Program, at(0), &[]).await.expect("begun");
        let second = store.begin_import(&Actor::Program, at(0), &[]).await;
        assert!(matches!(second, Err(StoreError::ImportRunning)));
        let under_way = store.find_import_under_way().await.expect("read").expect("there");
        assert_eq!((under_way.by.as_str(), under_way.begun_at), ("the program", at(0)));
        // Nor does somebody else's start sweep away what is alive.
        let other = Store::connect(&fresh.url).await.expect("opened again");
        assert_eq!(other.sweep_imports().await.expect("asked"), 0);
        other.close().await.expect("closed");
        import.abandon().await.expect("abandoned");
        store.begin_import(&Actor::Program, at(0), &[]).await.expect("begun").abandon().await.expect("done");
    });
}

#[test]
fn what_a_killed_import_left_is_swept_at_the_next_start() {
    on_both(|fresh| async move {
        let mut import = fresh.store.begin_import(&Actor::Program, at(0), &[]).await.expect("begun");
        everything().stage(&mut import).await.expect("staged");
        drop(import);
        fresh.store.close().await.expect("closed");
        let store = Store::connect(&fresh.url).await.expect("opened again");
        let left =
            behind_the_back(&fresh.url, "UPDATE report SET quantity = quantity").await.expect("counted");
        assert_eq!(left, 0);
        assert_eq!(store.find_import_under_way().await.expect("read"), None);
        let stopped = store.list_stopped_imports().await.expect("read");
        assert_eq!((stopped.len(), stopped[0].begun_at, stopped[0].by.as_str()), (1, at(0), "the program"));
        assert_eq!(bring_in(&store, &everything()).await, 49);
        store.close().await.expect("closed");
    });
}

#[test]
fn what_is_dropped_while_the_program_lives_is_not_under_way() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        assert_eq!(store.find_import_under_way().await.expect("read"), None);
        let mut import = store.begin_import(&Actor::Program, at(0), &[]).await.expect("begun");
        import.add_units(&[unit("COVE-2")]).await.expect("staged");
        drop(import);
        // The lock of a dropped transaction ends when the server has heard of it.
        while store.find_import_under_way().await.expect("read").is_some() {}
        assert_eq!(store.list_stopped_imports().await.expect("read").len(), 1);
        assert_eq!(read(store).await, Pack::default());
    });
}

#[test]
fn what_somebody_enters_during_an_import_is_neither_refused_nor_lost_with_it() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        let mut import = store.begin_import(&Actor::Program, at(0), &[]).await.expect("begun");
        import.add_units(&[unit("COVE-2"), unit("RIDGE-1")]).await.expect("staged");
        let entered = Unit { name: Some("As entered".into()), ..unit("COVE-2") };
        store.add_unit(&Actor::Program, at(1), &entered).await.expect("entered");
        assert_eq!(store.list_units().await.expect("read"), std::slice::from_ref(&entered));
        import.abandon().await.expect("abandoned");
        assert_eq!(store.list_units().await.expect("read"), [entered]);
        let again = store.add_unit(&Actor::Program, at(2), &unit("COVE-2")).await;
        assert!(matches!(again, Err(StoreError::Taken { .. })));
    });
}

#[test]
fn a_report_of_an_unknown_unit_is_refused_by_the_database_too() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        let mut import = store.begin_import(&Actor::Program, at(0), &[]).await.expect("begun");
        let stray = Report { unit: "NOWHERE".into(), ..bare_report("R-9") };
        assert!(matches!(import.add_reports(&[stray]).await, Err(StoreError::Database(_))));
        import.abandon().await.expect("abandoned");
        assert_eq!(read(store).await, everything());
    });
}

#[test]
fn many_rows_come_in_several_transactions() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        let mut pack = everything();
        pack.reports = (0..9_050).map(|n| bare_report(&format!("R-{n}"))).collect();
        pack.movements = (1..=450).map(|n| movement(MovementKind::Issue, 1 + n % 7)).collect();
        bring_in(store, &pack).await;
        let back = read(store).await;
        assert_eq!((back.reports.len(), back.movements.len()), (9_050, 450));
        assert!(back == pack);
        let mut seen = 0;
        let books = store.books().await.expect("opened");
        let stop = books.for_each_report(false, |_| {
            seen += 1;
            if seen == 7 { Err(StoreError::ImportRunning) } else { Ok(()) }
        });
        assert!(stop.await.is_err());
        assert_eq!(seen, 7);
    });
}
