//! Life and forecast against cases worked by hand.

use crate::common::{date, day, draws, issue_used, movement, report, small};
use domain::analysis::{Analysis, NoForecast, NoLife, Pattern, analyse};
use domain::field::{Day, FieldBuilder};
use domain::movement::{Movement, MovementKind as K};
use domain::report::{FoundWhen, Report};

fn split(n: usize, on: &str, lot: Option<&str>) -> Report {
    Report {
        part_no: Some("ZIPPER".into()),
        mode: Some("ZIP-1".into()),
        ..report(&format!("R-{n}"), on, "A", "PACK", lot)
    }
}

fn add(b: &mut FieldBuilder, report: &Report) {
    b.report(report).expect("known names");
}

fn issue(b: &mut FieldBuilder, movement: &Movement) {
    b.movement(movement).expect("known names");
}

fn near(a: f64, b: f64, tolerance: f64) -> bool {
    (a - b).abs() <= tolerance
}

fn after(start: Day, days: f64) -> String {
    Day(start.0 + days as i32).to_string()
}

/// `n` failures of 1,000 items issued together, at the ages where a power of age puts them over four years.
fn fleet(n: usize, shape: f64) -> Analysis {
    let mut b = small(&["L"]);
    issue(&mut b, &movement("2020-01-01", K::Issue, "L", "A", 1000));
    for i in 0..n {
        let age = 1461.0 * ((i as f64 + 0.5) / n as f64).powf(1.0 / shape);
        add(&mut b, &split(i, &after(day("2020-01-01"), age), Some("L")));
    }
    analyse(&b.build(), date("2024-01-01"))
}

/// By hand: of a power law watched from 0 to T in all items the shape is n / sum ln(T/t) (L. H. Crow 1974). With ages at
/// the quantiles that sum is n/shape but for rounding.
#[test]
fn the_shape_of_one_lot_is_that_of_the_power_law() {
    // Ages are told apart by weeks, which tells most where failures crowd into the first.
    for (shape, pattern, off) in
        [(0.5, Pattern::Early, 0.06), (1.0, Pattern::Steady, 0.02), (2.5, Pattern::WearOut, 0.02)]
    {
        let analysis = fleet(200, shape);
        let life = analysis.recurrences[0].life.as_ref().expect("200 failures");
        assert!(near(life.shape, shape, off * shape), "{shape}: {life:?}");
        assert!(life.shape_low < shape && life.shape_high.is_some_and(|high| shape < high));
        assert_eq!((life.pattern, life.failures, life.without_age), (pattern, 200, 0));
        // 0.2 failures an item in four years: B10 at four years times (0.10536 / 0.2)^(1/shape).
        let b10 = 4.0 * (0.105_36_f64 / 0.2).powf(1.0 / shape);
        assert!(near(life.b10_years, b10, 1.5 * off * b10), "{shape}: {}", life.b10_years);
        let last = life.points.last().expect("points");
        assert!(
            near(last.failed, 1.0 - (-0.2_f64).exp(), 2e-3) && near(last.counted, last.failed, 5e-3),
            "{last:?}"
        );
    }
}

/// By hand: a steady 200 failures in 4,000 item-years is 50 a year; 12.5 and 25 in the shorter spans.
#[test]
fn a_steady_rate_goes_on() {
    let analysis = fleet(200, 1.0);
    let forecast = analysis.recurrences[0].forecast.as_ref().expect("in service");
    for (ahead, expected) in forecast.ahead.iter().zip([12.5, 25.0, 50.0]) {
        assert!(near(ahead.expected, expected, 0.02 * expected), "{ahead:?}");
        assert!(ahead.low < expected && expected < ahead.high);
    }
    assert_eq!((forecast.in_service, forecast.reports, forecast.assumed_steady), (1000, 200, false));
    assert!(near(forecast.units[0].expected, 50.0, 2.0) && near(forecast.lots[0].expected, 50.0, 2.0));
}

/// By hand: with H(t) = 0.2 (t/4)^2.5 an item, the fifth year brings 1,000 x 0.2 x (1.25^2.5 - 1) = 149.4.
#[test]
fn wear_out_brings_more_each_year() {
    let analysis = fleet(200, 2.5);
    let year = analysis.recurrences[0].forecast.as_ref().expect("in service").year();
    assert!(near(year.expected, 149.4, 5.0), "{year:?}");
    assert!(year.low < 149.4 && 149.4 < year.high && year.high - year.low > 2.0 * 1.6 * 149.4_f64.sqrt());
}

/// One failure allows no shape; the forecast goes on with a steady rate and says so.
#[test]
fn without_an_estimate_the_reason_is_said() {
    let mut b = small(&["L"]);
    issue(&mut b, &movement("2020-01-01", K::Issue, "L", "A", 1000));
    add(&mut b, &split(0, "2021-01-01", None));
    add(&mut b, &split(1, "2022-01-01", None));
    let analysis = analyse(&b.build(), date("2024-01-01"));
    let recurrence = &analysis.recurrences[0];
    assert_eq!(recurrence.life, Err(NoLife::NoAges));
    let forecast = recurrence.forecast.as_ref().expect("in service");
    assert!(forecast.assumed_steady && near(forecast.year().expected, 0.5, 0.01), "{forecast:?}");
}

#[test]
fn what_nobody_holds_is_not_forecast() {
    let mut b = small(&["L"]);
    issue(&mut b, &movement("2020-01-01", K::Issue, "L", "A", 10));
    issue(&mut b, &movement("2023-01-01", K::Return, "L", "A", 10));
    add(&mut b, &split(0, "2021-01-01", Some("L")));
    add(&mut b, &split(1, "2022-01-01", Some("L")));
    let analysis = analyse(&b.build(), date("2024-01-01"));
    assert_eq!(analysis.recurrences[0].forecast, Err(NoForecast::NobodyHasIt));
}

/// Weeks worn stand in for an unread lot; without either a report has no age and is counted.
#[test]
fn unread_lots_are_left_out_and_counted() {
    let mut b = small(&["L"]);
    issue(&mut b, &movement("2020-01-01", K::Issue, "L", "A", 1000));
    for n in 0..6 {
        add(&mut b, &split(n, &format!("202{}-06-01", n % 3 + 1), Some("L")));
    }
    add(&mut b, &Report { worn_weeks: Some(80.0), ..split(6, "2021-07-01", None) });
    add(&mut b, &split(7, "2021-07-01", None));
    add(&mut b, &Report { found_when: Some(FoundWhen::OnReceipt), ..split(8, "2020-01-01", Some("L")) });
    add(&mut b, &Report { prompted_by: Some("N-1".into()), ..split(9, "2022-01-01", Some("L")) });
    let analysis = analyse(&b.build(), date("2024-01-01"));
    let life = analysis.recurrences[0].life.as_ref().expect("seven ages");
    assert_eq!((life.failures, life.without_age), (7, 1));
}

/// Items in service before records began have no age: they and their failures are left out.
#[test]
fn items_from_before_the_records_are_left_out() {
    let mut b = small(&["OLD", "L"]);
    issue(&mut b, &movement("2020-01-01", K::Opening, "OLD", "A", 500));
    issue(&mut b, &movement("2020-01-01", K::Issue, "L", "A", 500));
    for n in 0..4 {
        add(&mut b, &split(n, &format!("202{n}-06-01"), Some("OLD")));
        add(&mut b, &split(10 + n, &format!("202{n}-07-01"), Some("L")));
    }
    let analysis = analyse(&b.build(), date("2024-01-01"));
    let life = analysis.recurrences[0].life.as_ref().expect("four ages");
    assert_eq!((life.failures, life.age_not_on_record), (4, 4));
}

/// Used items keep their age: issued again after two years, they fail at three and not at one.
#[test]
fn used_items_are_watched_from_the_age_they_have() {
    let mut b = small(&["L"]);
    issue(&mut b, &movement("2018-01-01", K::Issue, "L", "B", 400));
    issue(&mut b, &movement("2020-01-01", K::Return, "L", "B", 400));
    issue(&mut b, &issue_used("2020-06-01", "L", "A", 400));
    let mut draw = draws(3);
    for n in 0..40 {
        let age = 365.0 + (draw() % 365) as f64;
        add(&mut b, &split(n, &after(day("2020-06-01"), age), Some("L")));
    }
    let analysis = analyse(&b.build(), date("2022-06-01"));
    let life = analysis.recurrences[0].life.as_ref().expect("40 ages");
    assert!(near(life.oldest_years, 4.0, 0.03), "{}", life.oldest_years);
    let third = life.points.iter().find(|p| p.age_years >= 2.9).expect("a point near three years");
    assert!(third.counted < 0.01, "none failed before an age of three: {third:?}");
}
