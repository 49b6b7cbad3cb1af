//! What else changed with a change: other modes that rise on the new part, and units that fall silent about the old one.

use domain::analysis::{ChangeResult, analyse};
use domain::change::ChangeState;
use domain::field::{Field, FieldBuilder};
use domain::movement::MovementKind as K;
use domain::report::Report;

use crate::common::{changed, date, movement, report, unit_id};

/// A thousand items of the old part at A since July 2023, as many of the new one since the cut-in on 1 January 2024, and
/// a thousand old ones at B since January 2023.
fn books() -> FieldBuilder {
    let mut b = changed(ChangeState::CutIn, &["ZIP-1"], "2024-01-01");
    for (on, lot_no, unit, items) in
        [("2023-07-01", "OLD", "A", 1000), ("2023-01-01", "OLD", "B", 1000), ("2024-01-01", "NEW", "A", 1000)]
    {
        b.movement(&movement(on, K::Issue, lot_no, unit, items)).expect("known");
    }
    b
}

fn failures(b: &mut FieldBuilder, mode: &str, lot_no: &str, unit: &str, on: &[&str], each: usize) {
    for day in on {
        for number in 0..each {
            let reference = format!("{mode}-{lot_no}-{unit}-{day}-{number}");
            let told = report(&reference, day, unit, "PACK", Some(lot_no));
            b.report(&Report { part_no: Some("ZIPPER".into()), mode: Some(mode.into()), ..told })
                .expect("known");
        }
    }
}

fn result(field: &Field) -> ChangeResult {
    analyse(field, date("2024-12-31")).changes.remove(0)
}

#[test]
fn another_mode_that_rises_on_the_new_part_is_named_and_one_that_stays_is_not() {
    let mut b = books();
    let (old_days, new_days) = (["2023-08-01", "2023-10-01"], ["2024-02-01", "2024-04-01"]);
    failures(&mut b, "ZIP-1", "OLD", "A", &old_days, 10);
    failures(&mut b, "ZIP-1", "NEW", "A", &new_days, 1);
    failures(&mut b, "ZIP-2", "OLD", "A", &old_days, 1);
    failures(&mut b, "ZIP-2", "NEW", "A", &new_days, 12);
    failures(&mut b, "ZIP-3", "OLD", "A", &old_days, 4);
    failures(&mut b, "ZIP-3", "NEW", "A", &new_days, 2);
    let field = b.build();
    let result = result(&field);
    let told: Vec<(&str, bool)> =
        result.other_modes.iter().map(|one| (&*field.modes[one.mode].code, one.rises)).collect();
    assert_eq!(told, [("ZIP-2", true), ("ZIP-3", false)]);
    let rising = result.other_modes[0];
    assert_eq!(rising.after.map(|rate| rate.occasions), Some(24));
    let (ratio, limits) = rising.ratio.expect("failures on both sides");
    assert!(ratio > 3.0 && limits.low > 1.0, "{ratio} {limits:?}");
}

#[test]
fn a_unit_that_stops_reporting_the_old_part_after_the_cut_in_is_named() {
    let mut b = books();
    failures(&mut b, "ZIP-1", "OLD", "B", &["2023-03-01", "2023-06-01", "2023-09-01"], 3);
    failures(&mut b, "ZIP-1", "OLD", "A", &["2023-08-01", "2023-10-01", "2024-05-01", "2024-09-01"], 4);
    let field = b.build();
    let told = result(&field).still_told.expect("a cut-in");
    let silent: Vec<_> = told.silent.iter().map(|(unit, expected)| (*unit, expected.round())).collect();
    // By hand: B sent nine in the 364 days before; in as many days since it should have sent nine again.
    assert_eq!(silent, [(unit_id(&field, "B"), 9.0)]);
    assert_eq!(told.before.map(|rate| rate.occasions), Some(17));
    assert_eq!(told.since.map(|rate| rate.occasions), Some(8));
}
