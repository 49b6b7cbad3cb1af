//! The forecast of what is in service: nothing where nobody has it, shared over all stock, and over lots that have only just
//! gone out.

use chrono::{Days, NaiveDate};

use crate::common::{date, lot_id, movement, report, small};
use domain::analysis::{Forecast, NoForecast, analyse};
use domain::field::{Field, FieldBuilder};
use domain::movement::{Movement, MovementKind as K};
use domain::report::Report;

/// 40 reports, one in so many days from 1 March 2019, each received so many days after.
fn add_reports(b: &mut FieldBuilder, every: u64, late: u64, lot: impl Fn(u64) -> Option<&'static str>) {
    let first: NaiveDate = date("2019-03-01");
    for n in 0..40 {
        let found_on = first + Days::new(every * n);
        let one = report(&format!("R-{n}"), &found_on.to_string(), "A", "PACK", lot(n));
        b.report(&Report {
            received_on: found_on + Days::new(late),
            part_no: Some("ZIPPER".into()),
            mode: Some("ZIP-1".into()),
            ..one
        })
        .expect("known names");
    }
}

fn forecast(field: &Field, as_of: &str) -> Forecast {
    analyse(field, date(as_of)).recurrences[0].forecast.clone().expect("in service")
}

/// 100 items of a lot and 900 of none, issued on one day: the lot is to bring a tenth.
#[test]
fn stock_of_no_known_lot_brings_its_part_of_what_is_to_come() {
    let mut b = small(&["L1"]);
    b.movement(&movement("2019-01-01", K::Issue, "L1", "A", 100)).expect("known names");
    let unknown = Movement {
        lot_no: None,
        part_no: Some("PACK".into()),
        ..movement("2019-01-01", K::Issue, "L1", "A", 900)
    };
    b.movement(&unknown).expect("known names");
    add_reports(&mut b, 30, 0, |n| (n % 10 == 0).then_some("L1"));
    let found = forecast(&b.build(), "2022-09-01");
    assert!((found.lots[0].expected / found.units[0].expected - 0.1).abs() < 1e-9, "{found:?}");
}

/// 100 items have failed for three years; 5,000 went out a month ago, and reports take two. Nothing tells the two lots apart, so
/// that they are to bring all that is to come, by the use ahead of them.
#[test]
fn a_lot_issued_too_lately_to_have_failed_is_told_with_what_it_is_to_bring() {
    let mut b = small(&["L1", "L2"]);
    b.movement(&movement("2019-01-01", K::Issue, "L1", "A", 100)).expect("known names");
    b.movement(&movement("2022-05-01", K::Issue, "L2", "A", 5000)).expect("known names");
    add_reports(&mut b, 25, 60, |_| Some("L1"));
    let field = b.build();
    let found = forecast(&field, "2022-06-01");
    assert_eq!(found.lots.first().map(|lot| (lot.of, lot.in_service)), Some((lot_id(&field, "L2"), 5000)));
    let sum: f64 = found.lots.iter().map(|lot| lot.expected).sum();
    assert!((sum / found.units[0].expected - 1.0).abs() < 1e-9, "{found:?}");
}

#[test]
fn what_nobody_holds_is_not_forecast() {
    let mut b = small(&["L"]);
    b.movement(&movement("2019-01-01", K::Issue, "L", "A", 10)).expect("known names");
    b.movement(&movement("2023-01-01", K::Return, "L", "A", 10)).expect("known names");
    add_reports(&mut b, 25, 0, |_| Some("L"));
    let analysis = analyse(&b.build(), date("2024-01-01"));
    assert_eq!(analysis.recurrences[0].forecast, Err(NoForecast::NobodyHasIt));
}
