//! The forecast of what is in service: nothing where nobody has it, shared over all stock, and over lots that have only just
//! gone out.

use chrono::{Days, NaiveDate};

use crate::common::{changed, date, lot_id, movement, report, small};
use domain::analysis::{Forecast, NoForecast, NoLife, analyse};
use domain::change::ChangeState;
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

/// Reports take two months, and those of another mode are all of the last days: what is to come of it can't be told from none.
#[test]
fn reports_that_are_all_too_recent_are_not_taken_for_none() {
    let mut b = small(&["L1"]);
    b.movement(&movement("2019-01-01", K::Issue, "L1", "A", 100)).expect("known names");
    add_reports(&mut b, 25, 60, |_| Some("L1"));
    for n in 0..3 {
        let told = report(&format!("N-{n}"), "2022-05-28", "A", "PACK", Some("L1"));
        let (part_no, mode) = (Some("ZIPPER".into()), Some("ZIP-2".into()));
        b.report(&Report { part_no, mode, ..told }).expect("known names");
    }
    let analysis = analyse(&b.build(), date("2022-06-01"));
    let recent = analysis.recurrences.iter().find(|one| one.reports == 3).expect("three reports");
    assert_eq!((&recent.forecast, &recent.life), (&Err(NoForecast::TooRecent), &Err(NoLife::TooRecent)));
    let other = analysis.recurrences.iter().find(|one| one.reports > 3).expect("forty reports");
    assert_eq!(other.forecast.as_ref().map(|of| (of.reports, of.too_recent)), Ok((40, 0)));
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

/// 400 items from before the change since 2020 with 40 reports, and 400 with it since 2022 with 2: at equal age, two years of
/// each, the first show about 12 in that time, so that the new come to about (2 + 1) / (12 + 1) of them. Taken as
/// one, all would be expected to fail as often as the past of both has it, though the future is half with the change.
#[test]
fn items_with_a_change_are_to_bring_what_they_have_shown() {
    let books = |state| {
        let mut b = changed(state, &["ZIP-1"], "2022-01-01");
        b.movement(&movement("2020-01-01", K::Issue, "OLD", "A", 400)).expect("known names");
        b.movement(&movement("2022-01-01", K::Issue, "NEW", "A", 400)).expect("known names");
        for (lot, every, reports) in [("OLD", 36, 40), ("NEW", 300, 2)] {
            let first: NaiveDate = date(if lot == "OLD" { "2020-01-20" } else { "2022-06-01" });
            for n in 0..reports {
                let found_on = (first + Days::new(every * n)).to_string();
                let one = report(&format!("{lot}-{n}"), &found_on, "A", "PACK", Some(lot));
                let (part_no, mode) = (Some("ZIPPER".into()), Some("ZIP-1".into()));
                b.report(&Report { part_no, mode, ..one }).expect("known names");
            }
        }
        b.build()
    };
    let (field, without) = (books(ChangeState::CutIn), books(ChangeState::Draft));
    let [found, as_one] = [&field, &without].map(|field| forecast(field, "2024-01-01"));
    let ratio = found.ratio_with_change.expect("items have it");
    assert!(ratio > 0.1 && ratio < 0.4, "{ratio}");
    assert_eq!(as_one.ratio_with_change, None);
    assert!(found.year().expected < as_one.year().expected, "{found:?} {as_one:?}");
    // Both lots are known by their own reports, so that the whole is to be what they bring.
    let of_lots = |found: &Forecast| found.lots.iter().map(|lot| lot.expected).sum::<f64>();
    assert!((of_lots(&found) - found.year().expected).abs() < 1e-9, "{found:?}");
    assert!(of_lots(&as_one) < 0.9 * as_one.year().expected, "{as_one:?}");
    // A change against another mode says nothing of this one.
    let mut b = changed(ChangeState::CutIn, &["ZIP-2"], "2022-01-01");
    b.movement(&movement("2020-01-01", K::Issue, "OLD", "A", 400)).expect("known names");
    b.movement(&movement("2022-01-01", K::Issue, "NEW", "A", 400)).expect("known names");
    add_reports(&mut b, 30, 0, |_| Some("OLD"));
    assert_eq!(forecast(&b.build(), "2024-01-01").ratio_with_change, None);
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
