//! Pilot lots against the old design, each worked by hand.

use domain::analysis::{Analysis, Pilots, analyse};
use domain::change::ChangeState;
use domain::change_record::{PredictionBasis, suggestions};
use domain::field::{Field, FieldBuilder};
use domain::lot::{Lot, LotPurpose};
use domain::movement::MovementKind as K;
use domain::report::Report;

use crate::common::{changed, date, lot, movement, report};

/// Old packs of lot OLD at A, and no change built yet.
fn books(issued_on: &str, items: u32) -> FieldBuilder {
    let mut b = changed(ChangeState::Draft, &["ZIP-1"], "2029-01-01");
    b.movement(&movement(issued_on, K::Issue, "OLD", "A", items)).expect("known");
    b
}

fn add_lot(b: &mut FieldBuilder, lot_no: &str, purpose: LotPurpose, issued_on: &str, items: u32) {
    b.lot(&Lot { purpose, ..lot(lot_no, "PACK", "B") }).expect("new lot");
    b.movement(&movement(issued_on, K::Issue, lot_no, "B", items)).expect("known");
}

fn failures(b: &mut FieldBuilder, lot_no: &str, unit: &str, on: &str, number: usize) {
    for at in 0..number {
        let told = report(&format!("{lot_no}-{at}"), on, unit, "PACK", Some(lot_no));
        b.report(&Report { part_no: Some("ZIPPER".into()), mode: Some("ZIP-1".into()), ..told })
            .expect("known");
    }
}

fn pilots(field: &Field) -> (Analysis, Option<Pilots>) {
    let analysis = analyse(field, date("2028-01-01"));
    let pilots = analysis.changes[0].pilots;
    (analysis, pilots)
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-9 * b.abs().max(1.0)
}

/// Rev A: 40 failures in 1,000 items over 1,461 days, 4,000 item-years: 10 per 1,000. Four pilot lots of rev B with 125 items,
/// 500 item-years each, over the same ages, with 3, 1, 0 and 0 failures: 20 expected of the old design in their 2,000, and
/// 4 / 20 = 0.20 of the failures left. A production lot of rev B with ten failures is no pilot and nobody's peer here.
#[test]
fn pilot_lots_are_held_against_the_old_design_and_those_without_a_failure_count_too() {
    let mut b = books("2024-01-01", 1000);
    failures(&mut b, "OLD", "A", "2024-07-01", 40);
    for (lot_no, number) in [("P-1", 3), ("P-2", 1), ("P-3", 0), ("P-4", 0)] {
        add_lot(&mut b, lot_no, LotPurpose::Pilot, "2024-01-01", 125);
        failures(&mut b, lot_no, "B", "2024-07-01", number);
    }
    b.movement(&movement("2024-01-01", K::Issue, "NEW", "B", 125)).expect("known");
    failures(&mut b, "NEW", "B", "2024-07-01", 10);
    let field = b.build();
    let (analysis, found) = pilots(&field);
    let found = found.expect("in service");
    assert_eq!(found.failures, 4);
    assert!(near(found.item_years, 2000.0) && near(found.expected, 20.0), "{found:?}");
    let suggested = suggestions(&field, &analysis, &analysis.changes[0]);
    let (from, share) = suggested.last().expect("enough expected");
    assert_eq!((from.as_str(), share.basis), ("Pilot lots in the field", PredictionBasis::Pilot));
    assert!(near(share.ratio.value, 0.20), "{:?}", share.ratio);
    assert_eq!(share.given[0].1, "4 seen, 20.0 expected of the old design at the same ages");
}

/// Old items that fail in their first quarter of a year, ten of a thousand: as many are expected of a thousand pilot items that
/// have passed it, though by the rate over four years it would be 2.5. Where the old ones fail in their third year, none is
/// expected of items that are a year old, and nothing is suggested.
#[test]
fn what_is_expected_of_pilot_lots_goes_by_their_age() {
    let of = |failed_on: &str| {
        let mut b = books("2024-01-01", 1000);
        failures(&mut b, "OLD", "A", failed_on, 10);
        add_lot(&mut b, "P-1", LotPurpose::Trial, "2027-01-01", 1000);
        failures(&mut b, "P-1", "B", "2027-02-01", 2);
        let field = b.build();
        let (analysis, found) = pilots(&field);
        let suggested = suggestions(&field, &analysis, &analysis.changes[0]);
        (found.expect("in service"), suggested.len())
    };
    let (young, suggested) = of("2024-02-01");
    assert!(near(young.expected, 10.0), "{young:?}");
    assert_eq!((young.failures, suggested), (2, 1));
    let (old, suggested) = of("2026-07-01");
    assert_eq!((old.failures, old.expected, suggested), (2, 0.0, 0));
}

#[test]
fn without_a_pilot_lot_in_service_nothing_is_said_of_them() {
    let mut b = books("2024-01-01", 1000);
    failures(&mut b, "OLD", "A", "2024-07-01", 40);
    b.lot(&Lot { purpose: LotPurpose::Pilot, ..lot("P-1", "PACK", "B") }).expect("new lot");
    b.lot(&Lot { purpose: LotPurpose::Pilot, ..lot("P-2", "PACK", "A") }).expect("new lot");
    b.movement(&movement("2024-01-01", K::Issue, "P-2", "B", 125)).expect("known");
    assert_eq!(pilots(&b.build()).1, None, "one not issued, one of the old revision");
}
