//! Items known by number that became another lot in the course of their life, against records worked by hand.

use crate::common;
use crate::common::{date, day, lot, lot_id, movement, small};
use domain::event::Event;
use domain::field::{Field, FieldBuilder, Id as _, ReportId};
use domain::label::{Labels, Resolution};
use domain::ledger::{TakeOrder, fold};
use domain::movement::{Movement, MovementKind as K};
use domain::report::Report;
use domain::serial::Serial;

/// Lot L1 of a carrier, and lot R1 of the same carriers with a new fastener; the strap stays.
fn carriers() -> FieldBuilder {
    let mut b = small(&["L1"]);
    for (part_no, revision, kind) in [("PACK", "B", "ITEM"), ("ZIPPER", "B", "ZIP"), ("STRAP", "A", "STY")] {
        b.part(&common::part(part_no, revision, kind)).expect("new revision");
    }
    let holds = [("A", ("STRAP", "A")), ("B", ("STRAP", "A")), ("B", ("ZIPPER", "B"))];
    for (revision, child) in holds {
        b.component(&common::component(("PACK", revision), child, 1.0)).expect("known parts");
    }
    b.lot(&lot("R1", "PACK", "B")).expect("new lot");
    b
}

fn stay(lot_no: &str, from: Option<&str>, to: Option<&str>) -> Serial {
    Serial {
        serial: "S1".into(),
        lot_no: lot_no.into(),
        unit: Some("A".into()),
        from: from.map(date),
        to: to.map(date),
    }
}

/// S1 is of L1 from 2019-01-01 and of R1 from 2023-05-01.
fn converted() -> [Serial; 2] {
    [stay("L1", Some("2019-01-01"), Some("2023-05-01")), stay("R1", Some("2023-05-01"), None)]
}

fn add_stays<'a>(b: &mut FieldBuilder, stays: impl IntoIterator<Item = &'a Serial>) {
    for stay in stays {
        b.serial(stay).expect("known names");
    }
}

fn unread(b: &mut FieldBuilder, on: &str) {
    let report = Report { serial: Some("S1".into()), ..common::report(on, on, "A", "PACK", None) };
    b.report(&report).expect("known names");
}

fn lots_of_reports(field: &Field) -> Vec<String> {
    let resolved = Labels::new(field, day("2025-01-01")).resolve_all(field);
    let no = |one: &domain::label::Resolved| {
        assert_eq!(one.how, Resolution::Serial);
        field.lots[one.lot.expect("numbered")].lot_no.to_string()
    };
    resolved.iter().map(no).collect()
}

#[test]
fn a_number_leads_to_the_lot_the_item_was_of_when_it_failed() {
    let [first, second] = converted();
    for rows in [[&first, &second], [&second, &first]] {
        let mut b = carriers();
        add_stays(&mut b, rows);
        // Before its record begins, long before, on the day of the conversion, and after it.
        for on in ["2018-06-01", "2021-06-01", "2023-05-01", "2023-05-02", "2024-01-01"] {
            unread(&mut b, on);
        }
        assert_eq!(lots_of_reports(&b.build()), ["L1", "L1", "L1", "R1", "R1"]);
    }
}

#[test]
fn a_row_without_a_date_holds_until_one_begins_and_of_two_the_one_that_ends_came_first() {
    for (rows, expected) in [
        ([stay("L1", None, None), stay("R1", Some("2023-05-01"), Some("2023-12-01"))], ["L1", "R1"]),
        ([stay("R1", None, None), stay("L1", None, Some("2023-05-01"))], ["L1", "R1"]),
    ] {
        let mut b = carriers();
        add_stays(&mut b, &rows);
        unread(&mut b, "2021-06-01");
        unread(&mut b, "2024-01-01");
        assert_eq!(lots_of_reports(&b.build()), expected, "{rows:?}");
    }
}

/// By hand on 2024-01-01: the carrier and its strap 5 x 365 + 1 = 1,826 days, the fastener 245 (0.7 years) since the
/// conversion. On the day of it the fastener taken out was 4 x 365 + 1 + 120 = 1,581 days old.
#[test]
fn a_conversion_restarts_what_differs_on_an_item_known_by_number() {
    let mut b = carriers();
    add_stays(&mut b, &converted());
    for on in ["2024-01-01", "2023-05-01"] {
        unread(&mut b, on);
    }
    let field = b.build();
    let ledger = fold(&field, day("2024-06-01"), TakeOrder::OldestFirst);
    let ages = |report: usize| {
        ["PACK", "STRAP", "ZIPPER"].map(|part| {
            let part = field.part_names.find(part).expect("a part");
            ledger.own_age_days(&field.reports[ReportId::from_index(report)], part)
        })
    };
    assert_eq!(ages(0), [Some(1826), Some(1826), Some(245)]);
    assert_eq!(ages(1), [Some(1581), Some(1581), Some(1581)]);
}

/// Ten carriers become R1 on 2023-05-01; S1, one of them, gets another fastener on 2024-03-01. By hand its age is then
/// 1,826 + 60 days, and the fastener that came out was 305 days old.
#[test]
fn a_replacement_on_a_numbered_item_looks_for_the_lot_it_is_of() {
    let mut b = carriers();
    add_stays(&mut b, &converted());
    for m in [
        movement("2019-01-01", K::Issue, "L1", "A", 10),
        Movement { to_lot_no: Some("R1".into()), ..movement("2023-05-01", K::Convert, "L1", "A", 10) },
    ] {
        b.movement(&m).expect("known names");
    }
    let of = Event { serial: Some("S1".into()), ..common::fastener_replaced("2024-03-01", "A") };
    b.event(&of).expect("known names");
    let field = b.build();
    let ledger = fold(&field, day("2024-06-01"), TakeOrder::OldestFirst);
    assert!(ledger.discrepancies.is_empty(), "{:?}", ledger.discrepancies);
    let zipper = field.part_names.find("ZIPPER").expect("a part");
    let of_r1: Vec<_> = ledger
        .of_lot(lot_id(&field, "R1"))
        .iter()
        .map(|s| (s.quantity, s.from, s.to, ledger.part_age_days(s, zipper)))
        .collect();
    let [converted, replaced, today] = ["2023-05-01", "2024-03-01", "2024-06-01"].map(day);
    assert_eq!(of_r1, [(1, converted, replaced, 0), (9, converted, today, 0), (1, replaced, today, 0)]);
    let last = ledger.of_lot(lot_id(&field, "R1")).last().expect("a spell");
    assert_eq!((last.age_days, replaced.0 - converted.0), (1886, 305));
}

/// S1's age on days in days, of the carrier or its fastener.
fn ages<const N: usize>(rows: &[Serial], part: &str, days: [&str; N]) -> [Option<i32>; N] {
    let mut b = carriers();
    add_stays(&mut b, rows);
    let replaced = Event { serial: Some("S1".into()), ..common::fastener_replaced("2022-01-01", "A") };
    b.event(&replaced).expect("known names");
    let field = b.build();
    let ledger = fold(&field, day("2024-06-01"), TakeOrder::OldestFirst);
    let serial = field.serial_names.find("S1").expect("a number");
    let part = field.part_names.find(part).expect("a part");
    days.map(|on| ledger.serials.age_days(serial, part, day(on)))
}

/// From 2020-01-01 to 2021-01-01, a leap year, and from then on, at units or at none that is told.
fn two_stays(first: Option<&str>, second: Option<&str>) -> [Serial; 2] {
    let at = |unit: Option<&str>, stay: Serial| Serial { unit: unit.map(Into::into), ..stay };
    [
        at(first, stay("L1", Some("2020-01-01"), Some("2021-01-01"))),
        at(second, stay("L1", Some("2021-01-01"), None)),
    ]
}

/// An age of 0 days would beat what the lot's own items say.
#[test]
fn a_record_that_never_says_the_item_was_in_service_gives_no_age() {
    let days = ["2020-07-01", "2021-06-01", "2024-01-01"];
    for unit in [None, Some("STORE")] {
        assert_eq!(ages(&two_stays(unit, unit), "PACK", days), [None; 3], "{unit:?}");
    }
    // In store first: no age before it went out, and none of the days in store after. By hand 151 days of 2021.
    let out = two_stays(Some("STORE"), Some("A"));
    assert_eq!(ages(&out, "PACK", ["2020-07-01", "2021-06-01"]), [None, Some(151)]);
}

/// By hand: on 2020-07-01 half a leap year, 182 days; at the end of the first stay 366; a day later the second may be service or
/// not. Its fastener is of 2022-01-01, and 2022 has 364 days from then to its last.
#[test]
fn days_at_a_unit_nobody_knows_leave_the_age_open_unless_the_part_is_newer() {
    let lost = two_stays(Some("A"), None);
    let days = ["2020-07-01", "2021-01-01", "2021-01-02"];
    assert_eq!(ages(&lost, "PACK", days), [Some(182), Some(366), None]);
    let found = two_stays(None, Some("A"));
    assert_eq!(ages(&found, "PACK", ["2022-12-31"]), [None]);
    assert_eq!(ages(&found, "ZIPPER", ["2021-06-01", "2022-12-31"]), [None, Some(364)]);
}

/// From 2019-01-01 to 2020-01-01 S1 was 365 days at A; the harness that somebody gave its number has no age by it.
#[test]
fn a_number_tells_no_age_of_another_item() {
    let mut b = carriers();
    b.part(&common::part("HARN", "A", "ITEM")).expect("new part");
    add_stays(&mut b, &converted());
    for item in ["PACK", "HARN"] {
        let told = common::report(item, "2020-01-01", "A", item, None);
        b.report(&Report { serial: Some("S1".into()), ..told }).expect("known names");
    }
    let field = b.build();
    let ledger = fold(&field, day("2024-06-01"), TakeOrder::OldestFirst);
    let zipper = field.part_names.find("ZIPPER").expect("a part");
    let of = |at: usize| ledger.serials.age_of(&field.reports[ReportId::from_index(at)], zipper);
    assert_eq!([of(0), of(1)], [Some(365), None]);
}
