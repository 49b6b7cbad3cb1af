//! Where replacements, counts and issues find their items, against books worked by hand.

use std::collections::BTreeMap;

use crate::common::{self, builder, component, day, issue_used, lot, lot_id, movement, part, unit};
use domain::event::Event;
use domain::field::{Field, FieldBuilder, UnitId};
use domain::ledger::{Ledger, TakeOrder, fold};
use domain::lineage::Whereabouts;
use domain::lot::Lot;
use domain::movement::{Movement, MovementKind as K, ReturnReason};
use domain::unit::UnitKind;

fn folded(field: &Field, on: &str) -> Ledger {
    fold(field, day(on), TakeOrder::OldestFirst)
}

fn field_of(mut b: FieldBuilder, movements: &[Movement], events: &[Event]) -> Field {
    for m in movements {
        m.check().expect("well-formed");
        b.movement(m).expect("known names");
    }
    for e in events {
        e.check().expect("well-formed");
        b.event(e).expect("known names");
    }
    b.build()
}

/// Units in an order, PACK with a fastener, a hundred of L1, and T2 of spare fasteners.
fn books(units: &[(&str, UnitKind)]) -> FieldBuilder {
    let mut b = builder();
    for &(code, kind) in units {
        b.unit(&unit(code, kind)).expect("new unit");
    }
    b.part(&part("PACK", "A", "ITEM")).expect("new part");
    b.part(&part("ZIPPER", "A", "ZIP")).expect("new part");
    b.component(&component(("PACK", "A"), ("ZIPPER", "A"), 1.0)).expect("known parts");
    b.lot(&Lot { quantity: Some(100), ..lot("L1", "PACK", "A") }).expect("new lot");
    b.lot(&lot("T2", "ZIPPER", "A")).expect("new lot");
    b
}

fn usual() -> FieldBuilder {
    books(&[
        ("A", UnitKind::Wearing),
        ("B", UnitKind::Wearing),
        ("STORE", UnitKind::Store),
        ("RP", UnitKind::Repair),
    ])
}

/// So many items of a lot get a fastener of T2.
fn replaced(on: &str, at: &str, lot_no: Option<&str>, quantity: u32) -> Event {
    Event {
        lot_no: lot_no.map(Into::into),
        quantity,
        new_lot_no: Some("T2".into()),
        ..common::fastener_replaced(on, at)
    }
}

fn of_no_lot(on: &str, kind: K, at: &str, quantity: u32) -> Movement {
    Movement { lot_no: None, part_no: Some("PACK".into()), ..movement(on, kind, "", at, quantity) }
}

fn transfer(on: &str, from: &str, to: &str, quantity: u32) -> Movement {
    Movement { to_unit: Some(to.into()), ..movement(on, K::Transfer, "L1", from, quantity) }
}

fn numbers(ledger: &Ledger) -> Vec<(u32, u32)> {
    ledger.discrepancies.iter().map(|d| (d.on_record, d.stated)).collect()
}

fn code_of(field: &Field, unit: Option<UnitId>) -> String {
    unit.map_or("", |unit| &field.unit_names[unit]).to_owned()
}

/// Who holds how many with a fastener of T2; "" is what was returned.
fn with_t2(field: &Field, ledger: &Ledger) -> BTreeMap<String, f64> {
    let holders = Whereabouts::new(field, ledger, lot_id(field, "T2")).holders;
    let with = holders.iter().filter(|holder| holder.containing.best > 0.0);
    with.map(|holder| (code_of(field, holder.unit), holder.containing.best)).collect()
}

/// The same with all that may be there.
fn with_most_of_t2(field: &Field, ledger: &Ledger) -> BTreeMap<String, f64> {
    let by_unit = Whereabouts::new(field, ledger, lot_id(field, "T2")).by_unit();
    by_unit.into_iter().map(|(unit, held)| (code_of(field, unit), held.high)).collect()
}

/// Who holds how many, of whatever lot; "" is what was returned.
fn held(field: &Field, ledger: &Ledger) -> BTreeMap<String, u32> {
    let mut held = BTreeMap::new();
    for row in ledger.held.iter().filter(|row| row.quantity > 0) {
        *held.entry(code_of(field, row.unit)).or_default() += row.quantity;
    }
    held
}

fn at<T: Copy>(rows: &[(&str, T)]) -> BTreeMap<String, T> {
    rows.iter().map(|&(unit, number)| (unit.to_owned(), number)).collect()
}

/// The age of the fastener, and how many, of the items a unit has in service.
fn fasteners_at(field: &Field, ledger: &Ledger, code: &str) -> Vec<(i32, u32)> {
    let zipper = field.part_names.find("ZIPPER").expect("a part");
    let there = common::unit_id(field, code);
    let open = ledger.spells.iter().filter(|s| s.open && s.unit == there);
    let mut ages: Vec<(i32, u32)> = open.map(|s| (ledger.part_age_days(s, zipper), s.quantity)).collect();
    ages.sort_unstable();
    ages
}

/// Forty come back for repair, are mended at the repair unit, and go out again with fasteners that are new.
#[test]
fn a_repair_unit_mends_what_was_returned() {
    let movements = [
        movement("2023-01-01", K::Receive, "L1", "STORE", 100),
        movement("2023-01-02", K::Issue, "L1", "A", 100),
        Movement { reason: Some(ReturnReason::Repair), ..movement("2024-01-01", K::Return, "L1", "A", 40) },
        issue_used("2024-02-01", "L1", "B", 40),
    ];
    for lot_no in [Some("L1"), None] {
        let field = field_of(usual(), &movements, &[replaced("2024-01-15", "RP", lot_no, 40)]);
        let ledger = folded(&field, "2024-01-20");
        assert_eq!((numbers(&ledger), with_t2(&field, &ledger)), (vec![], at(&[("", 40.0)])));
        let ledger = folded(&field, "2024-03-01");
        assert_eq!((numbers(&ledger), with_t2(&field, &ledger)), (vec![], at(&[("B", 40.0)])));
        assert_eq!(fasteners_at(&field, &ledger, "B"), [(0, 40)]);
        assert_eq!(held(&field, &ledger), at(&[("A", 60), ("B", 40)]));
    }
}

/// Forty go to the repair unit, are mended and come back on one day, whichever unit is first in the books; or are mended on the
/// day they are issued, or on the day they go on.
#[test]
fn a_part_is_replaced_after_its_item_came_and_before_it_leaves() {
    let there_and_back = vec![transfer("2024-01-15", "A", "RP", 40), transfer("2024-01-15", "RP", "A", 40)];
    let in_halves: Vec<Movement> =
        there_and_back.iter().flat_map(|m| vec![Movement { quantity: 20, ..m.clone() }; 2]).collect();
    let units = [("A", UnitKind::Wearing), ("STORE", UnitKind::Store), ("RP", UnitKind::Repair)];
    let turned = [units[2], units[1], units[0]];
    let before = [
        movement("2023-01-01", K::Receive, "L1", "STORE", 100),
        movement("2023-01-02", K::Issue, "L1", "A", 100),
    ];
    for (units, rows) in
        [(units, &there_and_back), (turned, &there_and_back), (units, &in_halves), (turned, &in_halves)]
    {
        let movements = [&before[..], rows.as_slice()].concat();
        let field = field_of(books(&units), &movements, &[replaced("2024-01-15", "RP", Some("L1"), 40)]);
        let ledger = folded(&field, "2024-01-15");
        assert_eq!((numbers(&ledger), with_t2(&field, &ledger)), (vec![], at(&[("A", 40.0)])));
        assert_eq!(held(&field, &ledger), at(&[("A", 100)]));
    }
    // On the day they are issued.
    let field = field_of(usual(), &before, &[replaced("2023-01-02", "A", Some("L1"), 40)]);
    let ledger = folded(&field, "2023-01-02");
    assert_eq!((numbers(&ledger), with_t2(&field, &ledger)), (vec![], at(&[("A", 40.0)])));
    // On the day all go on to another unit.
    let movements = [&before[..], &[transfer("2024-01-15", "A", "B", 100)]].concat();
    let field = field_of(usual(), &movements, &[replaced("2024-01-15", "A", Some("L1"), 40)]);
    let ledger = folded(&field, "2024-01-15");
    assert_eq!((numbers(&ledger), with_t2(&field, &ledger)), (vec![], at(&[("B", 40.0)])));
}

/// A hundred went out by part number alone on 2023-01-02; who mended forty a year later read on their labels that these are of
/// L1. By hand on 2024-02-01: 100 x 378 + 100 x 17 item-days, of the forty 17 with the new fastener.
#[test]
fn a_replacement_finds_items_of_its_lot_among_those_of_no_known_lot() {
    let field = field_of(
        usual(),
        &[of_no_lot("2023-01-02", K::Issue, "A", 100)],
        &[replaced("2024-01-15", "A", Some("L1"), 40)],
    );
    let ledger = folded(&field, "2024-02-01");
    assert_eq!((numbers(&ledger), with_t2(&field, &ledger)), (vec![], at(&[("A", 40.0)])));
    assert_eq!(fasteners_at(&field, &ledger, "A"), [(0, 40), (0, 60)]);
    let of_l1: Vec<_> =
        ledger.of_lot(lot_id(&field, "L1")).iter().map(|s| (s.quantity, s.age_days, s.from)).collect();
    assert_eq!(of_l1, [(40, 378, day("2024-01-15"))]);
    let years = ledger.item_years(|_| true);
    assert!((years.best - 100.0 * 395.0 / 365.25).abs() < 1e-9 && years.low == years.best, "{years:?}");
}

/// Thirty issued on 2024-01-01; a year later forty are said to have got a new fastener. By hand on 2026-01-01 the ten more were
/// none, or were there for up to 731 days: an event moves nothing, so that the best account has thirty.
#[test]
fn a_replacement_on_more_than_is_on_record_is_told_and_widens_the_most() {
    let issued = movement("2024-01-01", K::Issue, "L1", "A", 30);
    for lot_no in [Some("L1"), None] {
        let event = replaced("2025-01-01", "A", lot_no, 40);
        let field = field_of(usual(), std::slice::from_ref(&issued), &[event]);
        let ledger = folded(&field, "2026-01-01");
        assert_eq!(numbers(&ledger), [(30, 40)]);
        let most: u32 = ledger.held.iter().map(|held| held.high).sum();
        assert_eq!((most, held(&field, &ledger)), (40, at(&[("A", 30)])));
        let days = |n: f64| n / 365.25;
        let years = ledger.item_years(|_| true);
        assert!((years.low - days(30.0 * 731.0)).abs() < 1e-9 && years.low == years.best, "{years:?}");
        let most = days(30.0 * 731.0 + 10.0 * 365.0)..=days(40.0 * 731.0) + 1e-9;
        assert!(most.contains(&years.high), "{years:?}");
        assert!(ledger.spells.iter().filter(|s| s.open).all(|s| ledger.clocks.all(s.clocks).len() == 1));
    }
    let field = field_of(usual(), &[], &[replaced("2025-01-01", "RP", Some("L1"), 40)]);
    let told = folded(&field, "2025-01-01").discrepancies[0].in_words(&field);
    assert_eq!(told, "2025-01-01, RP, lot L1: part replaced on 40, 0 on record");
    // Three lines of one item each where nothing is on record are up to three items, and their unit is asked for them.
    let three: Vec<Event> = (0..3).map(|_| replaced("2025-01-01", "B", Some("L1"), 1)).collect();
    let field = field_of(usual(), std::slice::from_ref(&issued), &three);
    let ledger = folded(&field, "2025-02-01");
    assert_eq!(numbers(&ledger), [(0, 1); 3]);
    assert_eq!(held(&field, &ledger), at(&[("A", 30)]));
    assert_eq!((with_t2(&field, &ledger), with_most_of_t2(&field, &ledger)), (at(&[]), at(&[("B", 3.0)])));
}

/// A part that two items have, replaced where neither is on record: told, and of which item nobody can say.
#[test]
fn a_replacement_on_nobody_knows_what_is_told_and_puts_nothing_there() {
    let mut b = usual();
    b.part(&part("HARNESS", "A", "ITEM")).expect("new part");
    b.component(&component(("HARNESS", "A"), ("ZIPPER", "A"), 1.0)).expect("known parts");
    let field = field_of(b, &[], &[replaced("2025-01-01", "A", None, 5)]);
    let ledger = folded(&field, "2025-02-01");
    assert_eq!((numbers(&ledger), ledger.held.len(), ledger.spells.len()), (vec![(0, 5)], 0, 0));
}

/// A store receives 100, issues 60 and gets 20 back after 365 days; forty new ones and those twenty lie in it, and it counts
/// sixty. All of them go out again: forty with an age of nought, twenty with theirs.
#[test]
fn a_store_counts_what_came_back() {
    let before = [
        movement("2022-01-01", K::Receive, "L1", "STORE", 100),
        movement("2022-01-02", K::Issue, "L1", "A", 60),
        movement("2023-01-02", K::Return, "L1", "A", 20),
    ];
    let issued = [movement("2023-03-01", K::Issue, "L1", "B", 60)];
    let by_lot = |quantity| movement("2023-02-01", K::Count, "L1", "STORE", quantity);
    let by_part = |quantity| of_no_lot("2023-02-01", K::Count, "STORE", quantity);
    for counted in [by_lot(60), by_part(60)] {
        let rows = [&before[..], &[counted], &issued[..]].concat();
        let field = field_of(usual(), &rows, &[]);
        let ledger = folded(&field, "2023-02-01");
        assert_eq!(numbers(&ledger), []);
        assert_eq!(held(&field, &ledger), at(&[("A", 40), ("STORE", 60)]));
        let ledger = folded(&field, "2023-04-01");
        assert_eq!(numbers(&ledger), []);
        assert_eq!(held(&field, &ledger), at(&[("A", 40), ("B", 60)]));
        assert_eq!(fasteners_at(&field, &ledger, "B"), [(0, 40), (365, 20)]);
    }
    // Forty counted are the new ones; what came back lies elsewhere. Seventy are ten more than anybody knew of.
    for (counted, told, stored, returned) in [
        (by_lot(40), vec![], 40, Some(20)),
        (by_part(40), vec![], 40, Some(20)),
        (by_lot(70), vec![(60, 70)], 70, None),
    ] {
        let field = field_of(usual(), &[&before[..], &[counted]].concat(), &[]);
        let ledger = folded(&field, "2023-02-02");
        assert_eq!(numbers(&ledger), told);
        let here: Vec<(&str, u32)> =
            [("A", 40), ("STORE", stored)].into_iter().chain(returned.map(|n| ("", n))).collect();
        assert_eq!(held(&field, &ledger), at(&here));
    }
}

/// Beside a line of its own for L1, the rest that a store counts is not what came back of L1.
#[test]
fn what_came_back_of_a_lot_is_counted_by_its_own_line() {
    let mut b = usual();
    b.lot(&lot("L2", "PACK", "A")).expect("new lot");
    let rows = [
        movement("2022-01-01", K::Receive, "L1", "STORE", 100),
        movement("2022-01-01", K::Receive, "L2", "STORE", 10),
        movement("2022-01-02", K::Issue, "L1", "A", 60),
        movement("2022-01-02", K::Issue, "L2", "A", 10),
        movement("2023-01-02", K::Return, "L1", "A", 20),
        movement("2023-01-02", K::Return, "L2", "A", 10),
        movement("2023-02-01", K::Count, "L1", "STORE", 45),
        of_no_lot("2023-02-01", K::Count, "STORE", 10),
    ];
    let field = field_of(b, &rows, &[]);
    let ledger = folded(&field, "2023-02-02");
    assert_eq!(numbers(&ledger), []);
    assert_eq!(held(&field, &ledger), at(&[("", 15), ("A", 40), ("STORE", 55)]));
}

/// Whether the hundred of a lot are first counted in a store, received there or there when records begin: no more than these
/// can be issued.
#[test]
fn what_a_store_counts_first_is_of_what_was_made() {
    for kind in [K::Count, K::Receive, K::Opening] {
        let rows = [
            movement("2023-01-01", kind, "L1", "STORE", 100),
            movement("2023-02-01", K::Issue, "L1", "A", 150),
        ];
        let field = field_of(usual(), &rows, &[]);
        assert_eq!(numbers(&folded(&field, "2023-01-02")), [], "{kind}");
        assert_eq!(numbers(&folded(&field, "2023-03-01")), [(100, 150)], "{kind}");
    }
    // More than were made, and later on more than were left, were not all there unseen.
    let more = movement("2023-01-01", K::Count, "L1", "STORE", 120);
    assert_eq!(numbers(&folded(&field_of(usual(), &[more], &[]), "2023-02-01")), [(0, 120)]);
    let rows = [
        movement("2023-01-01", K::Issue, "L1", "A", 90),
        movement("2023-02-01", K::Count, "L1", "STORE", 10),
        movement("2023-03-01", K::Count, "L1", "STORE", 11),
    ];
    assert_eq!(numbers(&folded(&field_of(usual(), &rows, &[]), "2023-04-01")), [(10, 11)]);
}

/// Fifty of L2 are made and issued; a year later fifty of L1 are converted to it. That is no fault of the issue, on whichever
/// day one looks; what is issued of L2 after that is on no record.
#[test]
fn a_later_conversion_leaves_an_earlier_issue_alone() {
    let books = |made: u32, more: &[Movement]| {
        let mut b = usual();
        b.lot(&Lot { quantity: Some(made), ..lot("L2", "PACK", "A") }).expect("new lot");
        let rows = [
            movement("2023-01-01", K::Issue, "L2", "B", 50),
            movement("2023-01-01", K::Issue, "L1", "A", 100),
            Movement { to_lot_no: Some("L2".into()), ..movement("2024-01-01", K::Convert, "L1", "A", 50) },
        ];
        field_of(b, &[&rows[..], more].concat(), &[])
    };
    let field = books(50, &[]);
    for on in ["2023-12-31", "2024-01-01", "2025-01-01"] {
        let ledger = folded(&field, on);
        assert_eq!(numbers(&ledger), [], "{on}");
        assert_eq!(held(&field, &ledger), at(&[("A", 100), ("B", 50)]), "{on}");
    }
    // Of seventy twenty were left, and they are among the fifty converted.
    let late = movement("2024-02-01", K::Issue, "L2", "B", 5);
    assert_eq!(numbers(&folded(&books(70, &[late]), "2025-01-01")), [(0, 5)]);
    // Of two hundred a hundred and fifty were left, and a hundred are still new.
    let late = movement("2024-02-01", K::Issue, "L2", "B", 110);
    let ledger = folded(&books(200, &[late]), "2025-01-01");
    assert_eq!(numbers(&ledger), [(100, 110)]);
    assert_eq!(ledger.first_issues.iter().map(|issue| issue.2).sum::<u64>(), 50 + 100 + 110);
}

/// Four are mended where no book has them: told on that day, and not the day before.
#[test]
fn a_replacement_at_a_unit_without_any_is_told_from_its_day_on() {
    let field = field_of(
        usual(),
        &[movement("2023-01-02", K::Issue, "L1", "A", 10)],
        &[replaced("2024-01-15", "RP", Some("L1"), 4)],
    );
    assert_eq!(numbers(&folded(&field, "2024-01-14")), []);
    let ledger = folded(&field, "2024-01-15");
    assert_eq!((numbers(&ledger), with_most_of_t2(&field, &ledger)), (vec![(0, 4)], at(&[("RP", 4.0)])));
}

/// Ten of L1 since 2020 and ten of L2 since 2023, and ten fasteners are replaced on whichever it was: the other way round it
/// was those of L2.
#[test]
fn a_replacement_takes_the_newest_where_movements_do() {
    let mut b = usual();
    b.lot(&common::lot("L2", "PACK", "A")).expect("new lot");
    let issues = [("2020-01-01", "L1"), ("2023-01-01", "L2")];
    let issues = issues.map(|(on, lot_no)| movement(on, K::Issue, lot_no, "A", 10));
    let field = field_of(b, &issues, &[replaced("2024-01-01", "A", None, 10)]);
    for (order, of) in [(TakeOrder::OldestFirst, "L1"), (TakeOrder::NewestFirst, "L2")] {
        let ledger = fold(&field, common::day("2024-06-01"), order);
        let found = Whereabouts::new(&field, &ledger, lot_id(&field, "T2"));
        let lots: Vec<_> =
            found.holders.iter().map(|holder| (holder.lot(), holder.containing.best)).collect();
        assert_eq!(lots, [(Some(lot_id(&field, of)), 10.0)], "{order:?}");
    }
}

/// A hundred of L1 lie in the store, ten go to A, which gives four back; the store passes six new ones on to B. The four are
/// still there to be issued as used, and nothing disagrees.
#[test]
fn what_a_store_passes_on_is_new_while_new_stock_lasts() {
    let to_b =
        Movement { to_unit: Some("B".into()), ..movement("2022-08-01", K::Transfer, "L1", "STORE", 6) };
    let movements = [
        movement("2022-01-01", K::Receive, "L1", "STORE", 100),
        movement("2022-01-01", K::Issue, "L1", "A", 10),
        movement("2022-07-01", K::Return, "L1", "A", 4),
        to_b,
        issue_used("2023-01-01", "L1", "B", 4),
    ];
    let ledger = folded(&field_of(usual(), &movements, &[]), "2024-01-01");
    assert_eq!(ledger.discrepancies, []);
    let days: i64 = ledger.spells.iter().map(|s| i64::from(s.quantity) * i64::from(s.to.0 - s.from.0)).sum();
    // By hand, A: ten until 2022-07-01, six since; B: six since 2022-08-01, four since 2023-01-01.
    assert_eq!(days, 10 * 181 + 6 * 549 + 6 * 518 + 4 * 365);
}
