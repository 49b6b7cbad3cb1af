//! Books whose lines contradict one another, or seem to, against books worked by hand.

use std::collections::BTreeMap;

use crate::common::{self, date, day, lot, lot_id, movement, small, unit_id};
use domain::analysis::analyse;
use domain::event::{Event, EventKind};
use domain::field::{Field, FieldBuilder, Stock};
use domain::ledger::{Discrepancy, Ledger, TakeOrder, fold};
use domain::lot::Lot;
use domain::movement::{Condition, Movement, MovementKind as K};

fn folded(mut b: FieldBuilder, movements: &[Movement], on: &str) -> (Field, Ledger) {
    for m in movements {
        m.check().expect("well-formed");
        b.movement(m).expect("known names");
    }
    let field = b.build();
    let ledger = fold(&field, day(on), TakeOrder::OldestFirst);
    (field, ledger)
}

/// A movement of packs whose lot is not known.
fn of_no_lot(on: &str, kind: K, unit: &str, quantity: u32, size: Option<&str>) -> Movement {
    Movement {
        lot_no: None,
        part_no: Some("PACK".into()),
        size: size.map(Into::into),
        ..movement(on, kind, "", unit, quantity)
    }
}

fn numbers(ledger: &Ledger) -> Vec<(u32, u32)> {
    ledger.discrepancies.iter().map(|d| (d.on_record, d.stated)).collect()
}

/// What each lot holds at all places together; "" is what is of no known lot.
fn held(field: &Field, ledger: &Ledger) -> BTreeMap<String, u32> {
    let mut held = BTreeMap::new();
    for row in &ledger.held {
        let lot = match row.stock {
            Stock::Lot(lot) => field.lots[lot].lot_no.to_string(),
            Stock::Unknown(..) => String::new(),
        };
        *held.entry(lot).or_default() += row.quantity;
    }
    held
}

/// On record 50 of L1, 30 of L2 and 20 of no known lot.
fn a_hundred(counts: &[Movement]) -> (Field, Ledger) {
    let mut movements = vec![
        movement("2024-01-01", K::Issue, "L1", "A", 50),
        movement("2024-01-01", K::Issue, "L2", "A", 30),
        of_no_lot("2024-01-01", K::Issue, "A", 20, None),
    ];
    movements.extend_from_slice(counts);
    folded(small(&["L1", "L2"]), &movements, "2024-09-01")
}

fn of(held: [(&str, u32); 3]) -> BTreeMap<String, u32> {
    held.into_iter().map(|(lot, quantity)| (lot.to_owned(), quantity)).collect()
}

#[test]
fn the_analysis_names_the_first_lines_that_do_not_agree_with_both_numbers_and_counts_the_rest() {
    let counts: Vec<Movement> = (1..=7)
        .map(|month| movement(&format!("2024-0{month}-02"), K::Count, "L1", "A", 50 - month))
        .collect();
    let (field, ledger) = a_hundred(&counts);
    assert_eq!(ledger.discrepancies.len(), 7);
    let warnings = analyse(&field, date("2024-09-01")).warnings;
    let said = warnings.iter().find(|said| said.starts_with("7 lines of the books")).expect("a warning");
    assert!(
        said.contains(" 2024-01-02, A, lot L1: 49 counted, 50 on record; 2024-02-02, A, lot L1: 48"),
        "{said}"
    );
    assert!(said.contains("lot L1: 45 counted, 46 on record; and 2 more."), "{said}");
}

/// Two lines of one lot, unit and day: the larger stands, in whichever order they come, and the smaller is told of.
#[test]
fn of_two_counts_of_a_day_the_smaller_is_told_beside_the_one_that_stands() {
    let counted = |quantity| movement("2024-06-01", K::Count, "L1", "A", quantity);
    for counts in [[counted(50), counted(40)], [counted(40), counted(50)]] {
        let (field, ledger) = a_hundred(&counts);
        assert_eq!((numbers(&ledger), held(&field, &ledger)["L1"]), (vec![(50, 40)], 50));
    }
    let (_, ledger) = a_hundred(&[counted(50), counted(50)]);
    assert_eq!(numbers(&ledger), []);
}

#[test]
fn beside_counts_by_lot_a_count_without_lot_is_of_the_rest() {
    let l1 = movement("2024-06-01", K::Count, "L1", "A", 50);
    let l2 = movement("2024-06-01", K::Count, "L2", "A", 30);
    let rest = |quantity| of_no_lot("2024-06-01", K::Count, "A", quantity, None);
    let (field, ledger) = a_hundred(&[l1.clone(), l2.clone(), rest(20)]);
    assert_eq!(numbers(&ledger), [], "all lines agree");
    assert_eq!(held(&field, &ledger), of([("", 20), ("L1", 50), ("L2", 30)]));

    // L2 has no line of its own: the rest is 20 + 30, of which two are missing.
    let (field, ledger) = a_hundred(&[l1.clone(), rest(48)]);
    assert_eq!(numbers(&ledger), [(20, 18)]);
    let words = "2024-06-01, A, PACK of no known lot: 18 counted, 20 on record";
    assert_eq!(ledger.discrepancies[0].in_words(&field), words);
    assert_eq!(held(&field, &ledger), of([("", 18), ("L1", 50), ("L2", 30)]));

    // Three that L2 lacks are among those whose lot can't be read: mixed up, not lost.
    let (field, ledger) = a_hundred(&[l1, Movement { quantity: 27, ..l2 }, rest(23)]);
    assert_eq!(numbers(&ledger), [(30, 27), (20, 23)]);
    assert_eq!(held(&field, &ledger), of([("", 23), ("L1", 50), ("L2", 27)]));
    let all = ledger.item_years(|_| true);
    assert_eq!((all.low, all.high), (all.best, all.best), "the part's exposure is not in doubt");
}

#[test]
fn alone_a_count_without_lot_is_the_total() {
    let (_, ledger) = a_hundred(&[of_no_lot("2024-06-01", K::Count, "A", 100, None)]);
    assert_eq!(numbers(&ledger), []);
    let (field, ledger) = a_hundred(&[of_no_lot("2024-06-01", K::Count, "A", 95, None)]);
    assert_eq!(numbers(&ledger), [(20, 15)]);
    assert_eq!(held(&field, &ledger), of([("", 15), ("L1", 50), ("L2", 30)]));
    // A count of another day says nothing of this line.
    let l1 = movement("2024-06-02", K::Count, "L1", "A", 50);
    assert_eq!(numbers(&a_hundred(&[of_no_lot("2024-06-01", K::Count, "A", 100, None), l1]).1), []);
}

/// Ten of size M and five of no known size, each counted as on record: the second line is not a total of both.
#[test]
fn a_count_without_size_is_of_the_rest_too() {
    let rows = |on, kind| [of_no_lot(on, kind, "A", 10, Some("M")), of_no_lot(on, kind, "A", 5, None)];
    let movements = [rows("2024-01-01", K::Issue), rows("2024-06-01", K::Count)].concat();
    assert_eq!(numbers(&folded(small(&[]), &movements, "2024-09-01").1), []);
}

/// A store receives 100, issues 60, gets 20 back and scraps 20; the 40 it has left are new, and it issues them as new.
#[test]
fn a_store_scraps_what_came_back_before_what_is_new() {
    for kind in [K::Retire, K::Loss] {
        let movements = [
            movement("2024-01-01", K::Receive, "L1", "STORE", 100),
            movement("2024-01-02", K::Issue, "L1", "A", 60),
            movement("2025-01-02", K::Return, "L1", "A", 20),
            movement("2025-02-01", kind, "L1", "STORE", 20),
            Movement { condition: Some(Condition::New), ..movement("2025-03-01", K::Issue, "L1", "B", 40) },
        ];
        let (field, ledger) = folded(small(&["L1"]), &movements, "2025-09-01");
        assert_eq!(numbers(&ledger), [], "{kind}");
        let held: Vec<_> = ledger.held.iter().map(|row| (row.unit, row.quantity)).collect();
        assert_eq!(held, [(Some(unit_id(&field, "A")), 40), (Some(unit_id(&field, "B")), 40)], "{kind}");
        let at_b = ledger.spells.iter().find(|s| s.unit == unit_id(&field, "B")).expect("a spell");
        assert_eq!((at_b.quantity, at_b.age_days), (40, 0), "{kind}");
    }
}

/// Of the same 20 returned and 40 new a store mends 30: the 20 with a year of service (366 days) and ten new ones.
#[test]
fn a_store_mends_what_came_back_before_what_is_new() {
    let mut b = small(&["L1"]);
    b.lot(&lot("L2", "PACK", "A")).expect("new lot");
    let movements = [
        movement("2024-01-01", K::Receive, "L1", "STORE", 100),
        movement("2024-01-02", K::Issue, "L1", "A", 60),
        movement("2025-01-02", K::Return, "L1", "A", 20),
        Movement { to_lot_no: Some("L2".into()), ..movement("2025-02-01", K::Convert, "L1", "STORE", 30) },
        common::issue_used("2025-03-01", "L2", "B", 20),
        Movement { condition: Some(Condition::New), ..movement("2025-03-01", K::Issue, "L2", "B", 10) },
    ];
    let (field, ledger) = folded(b, &movements, "2025-09-01");
    assert_eq!(numbers(&ledger), []);
    let mut at_b: Vec<_> =
        ledger.of_lot(lot_id(&field, "L2")).iter().map(|s| (s.age_days, s.quantity)).collect();
    at_b.sort_unstable();
    assert_eq!(at_b, [(0, 10), (366, 20)]);
}

const MOST: u32 = 1_000_000_000;

/// Five rows of as many as one row may hold, 5,000,000,000 together, are more than 4,294,967,295.
#[test]
fn sums_beyond_a_number_neither_stop_nor_wrap() {
    let five = |row: &Movement| vec![row.clone(); 5];
    let received = five(&movement("2024-01-01", K::Receive, "L1", "STORE", MOST));
    let (_, ledger) = folded(small(&["L1"]), &received, "2024-06-01");
    assert_eq!((numbers(&ledger), ledger.held[0].quantity), (vec![], u32::MAX));

    // All five can be issued again, and then nothing is left.
    let issued = five(&movement("2024-02-01", K::Issue, "L1", "A", MOST));
    let more = movement("2024-03-01", K::Retire, "L1", "STORE", 7);
    let rows = [received.clone(), issued.clone(), vec![more]].concat();
    let (_, ledger) = folded(small(&["L1"]), &rows, "2024-02-11");
    let item_days = ledger.item_years(|_| true).best * 365.25;
    assert!((item_days - 5e10).abs() < 1.0, "ten days of 5e9 items: {item_days}");
    assert_eq!(numbers(&folded(small(&["L1"]), &rows, "2024-04-01").1), [(0, 7)]);

    // A count of 1e9 in all leaves that many, whatever was on record.
    let counted = [of_no_lot("2024-03-01", K::Count, "STORE", MOST, None)];
    let (field, ledger) = folded(small(&["L1"]), &[received, counted.to_vec()].concat(), "2024-06-01");
    assert_eq!(numbers(&ledger), [(u32::MAX, MOST)]);
    assert_eq!(held(&field, &ledger), BTreeMap::from([("L1".to_owned(), MOST)]));

    let mut b = small(&["L1"]);
    b.event(&Event {
        happened_on: date("2024-03-01"),
        unit: "A".into(),
        serial: None,
        lot_no: None,
        quantity: MOST,
        kind: EventKind::PartReplaced,
        part_no: Some("ZIPPER".into()),
        new_lot_no: None,
        outcome: None,
    })
    .expect("known names");
    let (_, ledger) = folded(b, &issued, "2024-04-01");
    let renewed: Vec<u32> =
        ledger.spells.iter().filter(|s| s.from == day("2024-03-01")).map(|s| s.quantity).collect();
    assert_eq!((numbers(&ledger), renewed), (vec![], vec![MOST]));
}

fn made(lot_no: &str, on: &str) -> Lot {
    Lot { made_on: Some(date(on)), ..lot(lot_no, "PACK", "A") }
}

/// 500 issued in March 2022 are written as of March 2002; the lot was made on 2022-01-15. By hand on 2022-07-01:
/// 500 x 167 days since it was made, not 500 x 7,427.
#[test]
fn a_movement_before_its_lot_was_made_is_shown_and_serves_only_once_made() {
    let slip = [movement("2002-03-01", K::Issue, "L1", "A", 500)];
    let books = || {
        let mut b = small(&[]);
        b.lot(&made("L1", "2022-01-15")).expect("new lot");
        b
    };
    let (field, ledger) = folded(books(), &slip, "2022-07-01");
    let shown = Discrepancy {
        day: day("2002-03-01"),
        unit: unit_id(&field, "A"),
        stock: Stock::Lot(lot_id(&field, "L1")),
        kind: K::Issue,
        is_event: false,
        on_record: 0,
        stated: 500,
        made_on: Some(day("2022-01-15")),
    };
    assert_eq!(ledger.discrepancies, [shown]);
    let words = "2002-03-01, A, lot L1: issue of 500 before it was made on 2022-01-15";
    assert_eq!(shown.in_words(&field), words);
    let years = ledger.item_years(|_| true);
    assert!((years.best - 500.0 * 167.0 / 365.25).abs() < 1e-9, "{years:?}");
    assert_eq!((years.low, years.high), (years.best, years.best));
    assert_eq!((ledger.spells[0].from, ledger.spells[0].age_days), (day("2022-01-15"), 0));

    // A picture of the time between has the items and no service.
    let (_, ledger) = folded(books(), &slip, "2010-01-01");
    assert_eq!((ledger.item_years(|_| true).best, ledger.held[0].quantity), (0.0, 500));

    // The day it was made is none too early.
    let (_, ledger) = folded(books(), &[movement("2022-01-15", K::Issue, "L1", "A", 500)], "2022-07-01");
    assert_eq!(ledger.discrepancies, []);
}

/// Ten of L1 with 366 days of service become L2 a month before L2 was made: told, and L2 serves from when it was made,
/// 2025-02-01 to 2025-03-01, with the age the items had.
#[test]
fn a_conversion_to_a_lot_that_is_yet_to_be_made_is_shown() {
    let mut b = small(&["L1"]);
    b.lot(&made("L2", "2025-02-01")).expect("new lot");
    let movements = [
        movement("2024-01-01", K::Issue, "L1", "A", 10),
        Movement { to_lot_no: Some("L2".into()), ..movement("2025-01-01", K::Convert, "L1", "A", 10) },
        movement("2025-01-05", K::Count, "L2", "A", 12),
        movement("2025-01-10", K::Count, "L2", "A", 9),
        movement("2025-03-01", K::Return, "L2", "A", 9),
    ];
    let (field, ledger) = folded(b, &movements, "2025-06-01");
    let early = ledger.discrepancies.iter().filter(|d| d.made_on.is_some());
    assert_eq!(early.map(|d| d.kind).collect::<Vec<_>>(), [K::Convert, K::Count, K::Count]);
    let of_l2 = ledger.of_lot(lot_id(&field, "L2"));
    let best: Vec<_> = of_l2.iter().filter(|s| s.books.has(domain::ledger::Books::BEST)).collect();
    assert_eq!(best.iter().map(|s| s.quantity).sum::<u32>(), 9);
    for spell in best {
        assert_eq!((spell.from, spell.to), (day("2025-02-01"), day("2025-03-01")));
    }
}

/// Ten items went out with no lot named. A year later somebody reads their labels: seven of L1, and two of L2 beside a rest of
/// one. They are the same ten, as old as they were, and nothing disagrees.
#[test]
fn a_count_by_lot_finds_the_items_of_no_known_lot() {
    let moved = [
        of_no_lot("2024-01-01", K::Issue, "A", 10, None),
        movement("2025-01-01", K::Count, "L1", "A", 7),
        movement("2025-01-01", K::Count, "L2", "A", 2),
        of_no_lot("2025-01-01", K::Count, "A", 1, None),
    ];
    let (field, ledger) = folded(small(&["L1", "L2"]), &moved, "2026-01-01");
    assert!(ledger.discrepancies.is_empty(), "{:?}", ledger.discrepancies);
    let years = ledger.item_years(|_| true);
    assert!((years.best - 10.0 * 731.0 / 365.25).abs() < 1e-9 && years.low == years.best, "{years:?}");
    let open: Vec<(Option<&str>, u32, i32)> = ledger
        .spells
        .iter()
        .filter(|spell| spell.open)
        .map(|s| (s.lot().map(|lot| &*field.lots[lot].lot_no), s.quantity, s.age_days))
        .collect();
    assert_eq!(open, [(Some("L1"), 7, 366), (Some("L2"), 2, 366), (None, 1, 0)]);
}

/// Of the hundred three of L2 are counted as L1: labels mixed up, with those of no known lot as they were, whether a line says
/// so or not.
#[test]
fn labels_mixed_up_between_lots_are_not_taken_from_those_of_no_known_lot() {
    let lines = [("L1", 53), ("L2", 27)].map(|(lot, n)| movement("2024-06-01", K::Count, lot, "A", n));
    let rest = of_no_lot("2024-06-01", K::Count, "A", 20, None);
    for counts in [lines.to_vec(), [lines.to_vec(), vec![rest.clone()]].concat()] {
        let (field, ledger) = a_hundred(&counts);
        assert_eq!(numbers(&ledger), [(50, 53), (30, 27)]);
        assert_eq!(held(&field, &ledger), of([("", 20), ("L1", 53), ("L2", 27)]));
    }
    // Three more of L1, and the rest is all there: then these three were on no record.
    let rest = of_no_lot("2024-06-01", K::Count, "A", 50, None);
    let (field, ledger) = a_hundred(&[lines[0].clone(), rest]);
    assert_eq!(numbers(&ledger), [(50, 53)]);
    assert_eq!(held(&field, &ledger), of([("", 20), ("L1", 53), ("L2", 30)]));
}

/// Five of a lot that was made in 2024 are counted where ten of no known lot have been since 2020: these are not of it.
#[test]
fn items_that_served_before_a_lot_was_made_are_not_counted_as_of_it() {
    let mut b = small(&["L1"]);
    b.lot(&Lot { made_on: Some(date("2024-06-01")), ..lot("L9", "PACK", "A") }).expect("new lot");
    let moved =
        [of_no_lot("2020-01-01", K::Issue, "A", 10, None), movement("2025-01-01", K::Count, "L9", "A", 5)];
    let (field, ledger) = folded(b, &moved, "2025-02-01");
    assert_eq!(numbers(&ledger), [(0, 5)]);
    assert_eq!(held(&field, &ledger), [("", 10), ("L9", 5)].map(|(lot, n)| (lot.to_owned(), n)).into());
}

/// A store has two packs of no known lot and five of L1, and three of no known lot came back. Five go on with no lot named: the
/// two and the three, or up to five of L1, in whose place no more than the two can still be there.
#[test]
fn what_came_back_is_not_maybe_still_in_the_store() {
    let moved = [
        of_no_lot("2024-01-01", K::Receive, "STORE", 2, None),
        movement("2024-01-01", K::Receive, "L1", "STORE", 5),
        of_no_lot("2024-01-01", K::Opening, "A", 3, None),
        of_no_lot("2024-03-01", K::Return, "A", 3, None),
        Movement { to_unit: Some("B".into()), ..of_no_lot("2024-06-01", K::Transfer, "STORE", 5, None) },
    ];
    let (field, ledger) = folded(small(&["L1"]), &moved, "2024-09-01");
    let store = unit_id(&field, "STORE");
    let there = ledger.held.iter().filter(|row| row.unit == Some(store));
    let is_lot = |stock| matches!(stock, Stock::Lot(_));
    let told: Vec<_> = there.map(|row| (is_lot(row.stock), row.quantity, row.low, row.high)).collect();
    assert_eq!(told, [(true, 5, 0, 5), (false, 0, 0, 2)]);
}
