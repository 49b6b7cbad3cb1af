//! The ledger against books worked by hand.

use crate::common;
use crate::common::{date, day, issue_used, lot, lot_id, movement, small, unit_id};
use domain::event::{Event, EventKind};
use domain::field::{Day, Field, Stock};
use domain::ledger::{Ledger, TakeOrder, fold};
use domain::movement::{Movement, MovementKind as K};
use domain::serial::Serial;

fn field_of(lots: &[&str], movements: &[Movement]) -> Field {
    let mut b = small(lots);
    for m in movements {
        m.check().expect("well-formed");
        b.movement(m).expect("known names");
    }
    b.build()
}

fn folded(field: &Field, as_of: Day) -> Ledger {
    fold(field, as_of, TakeOrder::OldestFirst)
}

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() < 5e-3
}

/// 100 issued; 60 come back after a year, lie half a year on the shelf, go out again, and get a new fastener.
/// By hand: 40 x 912 + 60 x (366 + 365) = 80,340 item-days = 219.96 item-years; shelf 60 x 181 = 29.73.
#[test]
fn a_shelf_is_no_exposure_and_a_new_part_starts_at_nought() {
    let mut b = small(&["L1"]);
    for m in [
        movement("2024-01-01", K::Issue, "L1", "A", 100),
        movement("2025-01-01", K::Return, "L1", "A", 60),
        issue_used("2025-07-01", "L1", "A", 60),
    ] {
        b.movement(&m).expect("known names");
    }
    b.event(&Event {
        happened_on: date("2026-01-01"),
        unit: "A".into(),
        serial: None,
        lot_no: Some("L1".into()),
        quantity: 60,
        kind: EventKind::PartReplaced,
        part_no: Some("ZIPPER".into()),
        new_lot_no: None,
        outcome: None,
    })
    .expect("known names");
    let field = b.build();
    let ledger = folded(&field, day("2026-07-01"));
    assert!(ledger.discrepancies.is_empty());

    let years = ledger.item_years(|_| true);
    assert!(close(years.best, 219.96), "{years:?}");
    assert!((years.low, years.high) == (years.best, years.best));
    assert!(close(ledger.shelf_item_days as f64 / 365.25, 29.73));

    let zipper = field.part_names.find("ZIPPER").expect("a part");
    let new = ledger.item_years(|s| ledger.clocks.of(s.clocks, zipper).is_some());
    let old = ledger.item_years(|s| ledger.clocks.of(s.clocks, zipper).is_none());
    assert!(close(old.best, 190.23) && close(new.best, 29.73), "{old:?} {new:?}");
    let first_day_of_new: Vec<i32> = ledger
        .spells
        .iter()
        .filter(|s| ledger.clocks.of(s.clocks, zipper).is_some())
        .map(|s| ledger.part_age_days(s, zipper))
        .collect();
    assert!(first_day_of_new.iter().all(|&age| age == 0), "{first_day_of_new:?}");
}

/// Two lots at one unit; a count finds 8 too few of one and 6 too many of the other. By hand, two years of 365
/// days: the first lot from 172 + 172 to 180 + 178, the second from 120 + 120 to 126 + 126.
#[test]
fn a_count_that_disagrees_gives_exposure_a_low_and_a_high() {
    let field = field_of(
        &["LA", "LB"],
        &[
            movement("2024-03-01", K::Issue, "LA", "A", 180),
            movement("2024-03-01", K::Issue, "LB", "A", 120),
            movement("2025-03-01", K::Count, "LA", "A", 172),
            movement("2025-03-01", K::Count, "LB", "A", 126),
            movement("2026-03-01", K::Return, "LB", "A", 126),
        ],
    );
    let ledger = folded(&field, day("2026-03-01"));
    let years = |lot_no| {
        let stock = Stock::Lot(lot_id(&field, lot_no));
        let years = ledger.lot_years(|s| s.stock == stock);
        (years.low.round(), years.high.round())
    };
    assert_eq!(years("LA"), (344.0, 358.0));
    assert_eq!(years("LB"), (240.0, 252.0));
    // Together two items are missing, not fourteen mixed up: 298 counted, at most 300 before.
    let all = ledger.item_years(|_| true);
    assert!(close(all.low, 2.0 * 298.0 * 365.0 / 365.25), "{all:?}");
    assert!(close(all.high, (300.0 + 298.0) * 365.0 / 365.25), "{all:?}");
    let numbers: Vec<(u32, u32)> = ledger.discrepancies.iter().map(|d| (d.on_record, d.stated)).collect();
    assert_eq!(numbers, [(180, 172), (120, 126)], "the return of 126 agrees with the count");
}

#[test]
fn a_return_of_more_than_is_on_record_is_taken_and_shown() {
    let field = field_of(
        &["L1"],
        &[movement("2024-01-01", K::Issue, "L1", "A", 10), movement("2025-01-01", K::Return, "L1", "A", 13)],
    );
    let ledger = folded(&field, day("2026-01-01"));
    let d = ledger.discrepancies[0];
    assert_eq!((ledger.discrepancies.len(), d.on_record, d.stated), (1, 10, 13));
    let years = ledger.item_years(|_| true);
    assert!(close(years.low, 10.0 * 366.0 / 365.25) && close(years.high, 13.0 * 366.0 / 365.25), "{years:?}");
    assert_eq!(ledger.held.iter().map(|h| h.quantity).sum::<u32>(), 13, "all thirteen lie on the shelf");
}

#[test]
fn the_longest_in_service_leave_first_and_transfers_keep_their_age() {
    let movements = [
        movement("2024-01-01", K::Issue, "L1", "A", 10),
        movement("2025-01-01", K::Issue, "L1", "A", 10),
        Movement { to_unit: Some("B".into()), ..movement("2025-06-01", K::Transfer, "L1", "A", 5) },
    ];
    let field = field_of(&["L1"], &movements);
    let b = unit_id(&field, "B");
    let age_at_b = |order| {
        let ledger = fold(&field, day("2026-01-01"), order);
        ledger.spells.iter().find(|s| s.unit == b).map(|s| s.age_days)
    };
    assert_eq!(age_at_b(TakeOrder::OldestFirst), Some(517), "2024-01-01 to 2025-06-01");
    assert_eq!(age_at_b(TakeOrder::NewestFirst), Some(151), "2025-01-01 to 2025-06-01");
}

#[test]
fn inflows_come_before_outflows_on_one_day() {
    let field = field_of(
        &["L1"],
        &[
            Movement { to_unit: Some("B".into()), ..movement("2024-05-01", K::Transfer, "L1", "A", 4) },
            movement("2024-05-01", K::Return, "L1", "B", 4),
            movement("2024-05-01", K::Issue, "L1", "A", 4),
        ],
    );
    let ledger = folded(&field, day("2024-06-01"));
    assert!(ledger.discrepancies.is_empty() && ledger.spells.is_empty());
}

#[test]
fn an_issue_takes_new_stock_while_it_lasts_and_then_what_came_back() {
    let mut b = small(&[]);
    b.lot(&domain::lot::Lot { quantity: Some(10), ..lot("L1", "PACK", "A") }).expect("new lot");
    for m in [
        movement("2024-01-01", K::Issue, "L1", "A", 10),
        movement("2025-01-01", K::Return, "L1", "A", 4),
        movement("2025-02-01", K::Issue, "L1", "B", 3),
    ] {
        b.movement(&m).expect("known names");
    }
    let field = b.build();
    let ledger = folded(&field, day("2025-03-01"));
    assert!(ledger.discrepancies.is_empty());
    let at_b = ledger.spells.iter().find(|s| s.unit == unit_id(&field, "B")).expect("a spell");
    assert_eq!((at_b.quantity, at_b.age_days), (3, 366));
}

#[test]
fn a_return_without_its_lot_leaves_the_lots_in_doubt_but_not_the_part() {
    let unknown = Movement {
        lot_no: None,
        part_no: Some("PACK".into()),
        ..movement("2025-01-01", K::Return, "L1", "A", 5)
    };
    let field = field_of(
        &["L1", "L2"],
        &[
            movement("2024-01-01", K::Issue, "L1", "A", 10),
            movement("2024-01-01", K::Issue, "L2", "A", 10),
            unknown,
        ],
    );
    let ledger = folded(&field, day("2026-01-01"));
    assert!(ledger.discrepancies.is_empty());
    let days = |n: f64| n / 365.25;
    for lot_no in ["L1", "L2"] {
        let stock = Stock::Lot(lot_id(&field, lot_no));
        let years = ledger.lot_years(|s| s.stock == stock);
        assert!(close(years.low, days(3660.0 + 5.0 * 365.0)), "{lot_no} {years:?}");
        assert!(close(years.high, days(3660.0 + 10.0 * 365.0)), "{lot_no} {years:?}");
    }
    let all = ledger.item_years(|_| true);
    assert!(close(all.low, days(7320.0 + 15.0 * 365.0)) && close(all.low, all.high), "{all:?}");
}

#[test]
fn a_conversion_keeps_the_items_age_and_restarts_the_part_that_differs() {
    let mut b = small(&["L1"]);
    b.part(&common::part("PACK", "B", "ITEM")).expect("new revision");
    b.part(&common::part("ZIPPER", "B", "ZIP")).expect("new revision");
    b.component(&common::component(("PACK", "B"), ("ZIPPER", "B"), 1.0)).expect("known");
    b.lot(&lot("L2", "PACK", "B")).expect("new lot");
    for m in [
        movement("2024-01-01", K::Issue, "L1", "A", 10),
        Movement { to_lot_no: Some("L2".into()), ..movement("2025-01-01", K::Convert, "L1", "A", 10) },
    ] {
        b.movement(&m).expect("known names");
    }
    let field = b.build();
    let ledger = folded(&field, day("2026-01-01"));
    let zipper = field.part_names.find("ZIPPER").expect("a part");
    let after = ledger.spells.iter().find(|s| s.lot() == Some(lot_id(&field, "L2"))).expect("a spell");
    assert_eq!((after.age_days, ledger.part_age_days(after, zipper)), (366, 0));
}

#[test]
fn what_records_begin_with_is_of_unknown_age() {
    let field = field_of(&["L1"], &[movement("2024-01-01", K::Opening, "L1", "A", 7)]);
    let ledger = folded(&field, day("2025-01-01"));
    assert!(!ledger.spells[0].age_known);
    assert!(close(ledger.item_years(|_| true).best, 7.0 * 366.0 / 365.25));
}

#[test]
fn what_was_lost_and_found_has_no_service_between() {
    let field = field_of(
        &["L1"],
        &[
            movement("2024-01-01", K::Issue, "L1", "A", 2),
            movement("2024-02-01", K::Loss, "L1", "A", 1),
            movement("2024-04-01", K::Found, "L1", "A", 1),
        ],
    );
    let ledger = folded(&field, day("2024-05-01"));
    assert_eq!(ledger.item_years(|_| true).best, f64::from(121 + 31 + 30) / 365.25);
}

#[test]
fn the_picture_of_a_past_date_uses_no_later_row() {
    let rows =
        [movement("2024-03-01", K::Issue, "LA", "A", 180), movement("2025-03-01", K::Count, "LA", "A", 172)];
    let late = folded(&field_of(&["LA"], &rows), day("2025-02-01"));
    let early = folded(&field_of(&["LA"], &rows[..1]), day("2025-02-01"));
    assert_eq!(late.spells, early.spells);
}

/// Issued on 2024-01-01, a year in service, half a year in store, out again on 2025-07-01, a new fastener on 2026-01-01.
/// By hand on 2026-07-01: the item 366 + 365 = 731 days, its fastener 181; the day before the replacement 366 + 183.
#[test]
fn an_item_known_by_number_has_an_age_of_its_own() {
    let mut b = small(&["L1"]);
    for (unit, from, to) in [
        ("A", "2024-01-01", Some("2025-01-01")),
        ("STORE", "2025-01-01", Some("2025-07-01")),
        ("B", "2025-07-01", None),
    ] {
        b.serial(&Serial {
            serial: "S-1".into(),
            lot_no: "L1".into(),
            unit: Some(unit.into()),
            from: Some(date(from)),
            to: to.map(date),
        })
        .expect("known names");
    }
    b.serial(&Serial {
        serial: "S-2".into(),
        lot_no: "L1".into(),
        unit: Some("A".into()),
        from: None,
        to: None,
    })
    .expect("known names");
    let of = Event { serial: Some("S-1".into()), ..common::fastener_replaced("2026-01-01", "B") };
    b.event(&of).expect("known names");
    let report = |serial: &str| domain::report::Report {
        serial: Some(serial.into()),
        ..common::report(serial, "2026-07-01", "B", "PACK", None)
    };
    b.report(&report("S-1")).expect("known names");
    b.report(&report("S-2")).expect("known names");
    let field = b.build();
    let ledger = folded(&field, day("2026-12-01"));
    let [pack, zipper] = ["PACK", "ZIPPER"].map(|part| field.part_names.find(part).expect("a part"));
    let [first, second] = [0, 1].map(|at| &field.reports[domain::field::Id::from_index(at)]);
    assert_eq!(ledger.own_age_days(first, pack), Some(731));
    assert_eq!(ledger.own_age_days(first, zipper), Some(181));
    let serial = first.serial.expect("numbered");
    assert_eq!(ledger.serials.age_days(serial, zipper, day("2025-12-31")), Some(366 + 183));
    let replaced = day("2026-01-01");
    assert_eq!(ledger.serials.age_days(serial, zipper, replaced), Some(366 + 184), "the fastener taken out");
    assert_eq!(ledger.serials.age_days(serial, zipper, Day(replaced.0 + 1)), Some(1), "the one put in");
    assert_eq!(ledger.serials.age_days(serial, pack, day("2023-12-31")), None, "not issued yet");
    assert_eq!(ledger.own_age_days(second, pack), None, "nobody knows since when");
}
