//! Life, and the forecast that rests on it, against cases worked by hand.

use crate::common::{date, day, draws, issue_used, movement, report, small};
use chrono::{Datelike as _, NaiveDate};
use domain::analysis::{Analysis, NoLife, Pattern, analyse};
use domain::field::{Day, FieldBuilder};
use domain::inspection::Inspection;
use domain::movement::{Movement, MovementKind as K};
use domain::report::{FoundWhen, ItemFate, Report};

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

/// By hand: a unit that works its items hard gives them back after two years, one that is kind to them keeps them for four
/// and has fewer failures. Each by itself has the shape n / sum ln(T/t), and so have both where each has a scale of its own
/// (L. H. Crow 1974); taken as one, the old items are the kind unit's and the rate seems to fall.
#[test]
fn a_unit_that_is_kind_to_its_items_does_not_make_ageing_milder() {
    let mut b = small(&["L"]);
    let mut number = 0;
    for (unit, n, days) in [("A", 120, 731.0), ("B", 40, 1461.0)] {
        issue(&mut b, &movement("2020-01-01", K::Issue, "L", unit, 1000));
        for i in 0..n {
            let age = days * ((f64::from(i) + 0.5) / f64::from(n)).powf(1.0 / 2.5);
            let found =
                Report { unit: unit.into(), ..split(number, &after(day("2020-01-01"), age), Some("L")) };
            add(&mut b, &found);
            number += 1;
        }
    }
    issue(&mut b, &movement("2022-01-01", K::Return, "L", "A", 1000));
    let analysis = analyse(&b.build(), date("2024-01-01"));
    let life = analysis.recurrences[0].life.as_ref().expect("160 failures");
    assert!(near(life.shape, 2.5, 0.05), "{life:?}");
}

/// By hand: of 1,000 items of which each can fail but once, `i` have failed when H(t) = -ln(1 - i/1000). Were they mended,
/// the same failures would have the shape n / sum ln(T/t).
#[test]
fn what_is_worn_on_unmended_is_not_at_risk_again() {
    let fitted = |fate: ItemFate| {
        let mut b = small(&["L"]);
        issue(&mut b, &movement("2020-01-01", K::Issue, "L", "A", 1000));
        let mut logs = 0.0;
        for i in 0..330_u32 {
            let expected = |i: f64| -(1.0 - i / 1000.0).ln();
            let share: f64 = expected(f64::from(i) + 0.5) / expected(330.0);
            let age = 1461.0 * share.powf(1.0 / 2.5);
            logs -= share.ln() / 2.5;
            let on = after(day("2020-01-01"), age);
            add(&mut b, &Report { item_fate: Some(fate), ..split(i as usize, &on, Some("L")) });
        }
        let analysis = analyse(&b.build(), date("2024-01-01"));
        (analysis.recurrences[0].life.as_ref().expect("330 failures").shape, 330.0 / logs)
    };
    let (kept, _) = fitted(ItemFate::Kept);
    let (mended, by_hand) = fitted(ItemFate::Repaired);
    assert!(near(kept, 2.5, 0.04), "{kept}");
    assert!(near(mended, by_hand, 0.04) && by_hand < 2.3, "{mended} for {by_hand}");
}

/// By hand: the logarithm of the shape of n exact ages has the variance 1/n, here of 200 reports of which some are sent
/// twice, 1.06/200. A lot of which half is two years younger leaves each age open, and the limits wider.
#[test]
fn limits_of_the_shape_are_as_wide_as_ages_are_open() {
    let width = |b: FieldBuilder| {
        let analysis = analyse(&b.build(), date("2024-01-01"));
        let life = analysis.recurrences[0].life.as_ref().expect("200 failures").clone();
        (life.shape_high.expect("an upper limit") / life.shape_low).ln()
    };
    let with = |quantities: [u32; 2]| {
        let mut b = small(&["L"]);
        issue(&mut b, &movement("2020-01-01", K::Issue, "L", "A", quantities[0]));
        if quantities[1] > 0 {
            issue(&mut b, &movement("2022-01-01", K::Issue, "L", "A", quantities[1]));
        }
        for i in 0..200 {
            let age = 1461.0 * ((f64::from(i) + 0.5) / 200.0).powf(1.0 / 2.5);
            add(&mut b, &split(i as usize, &after(day("2020-01-01"), age), Some("L")));
        }
        width(b)
    };
    let (exact, open) = (with([1000, 0]), with([1000, 1000]));
    assert!(near(exact, 2.0 * 1.96 * (1.06_f64 / 200.0).sqrt(), 0.01), "{exact}");
    assert!(open > 1.1 * exact, "{open} for {exact}");
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

/// Where all failures of known lots are of older items, those of unread labels are taken for theirs too: the newer lot has none.
#[test]
fn failures_that_are_all_of_older_items_tell_no_life_of_the_newer() {
    let mut b = small(&["OLD", "L"]);
    issue(&mut b, &movement("2020-01-01", K::Opening, "OLD", "A", 500));
    issue(&mut b, &movement("2020-01-01", K::Issue, "L", "A", 500));
    for n in 0..3 {
        add(&mut b, &split(n, &format!("202{n}-06-01"), Some("OLD")));
    }
    for n in 3..5 {
        add(&mut b, &Report { worn_weeks: Some(20.0), ..split(n, "2021-07-01", None) });
    }
    let analysis = analyse(&b.build(), date("2024-01-01"));
    assert_eq!(analysis.recurrences[0].life, Err(NoLife::NoneAtRisk));
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

/// 500 items from before the records beside 500 new ones, each as likely to fail. Half of all labels can't be read, of both alike
/// or of the old ones alone, weeks worn remembered or not: the new ones don't fail the sooner for it.
#[test]
fn failures_of_items_from_before_the_records_are_not_put_on_newer_ones() {
    let b10_years = |is_remembered: bool, labels: [Option<&str>; 4]| {
        let mut b = small(&["OLD", "L"]);
        issue(&mut b, &movement("2020-01-01", K::Opening, "OLD", "A", 500));
        issue(&mut b, &movement("2020-01-01", K::Issue, "L", "A", 500));
        for n in 0..120 {
            let days = 1461.0 * (f64::from(n) + 0.5) / 120.0;
            let lot = labels[n as usize % 4];
            let worn_weeks = (is_remembered && lot.is_none()).then_some(days / 7.0);
            add(&mut b, &Report { worn_weeks, ..split(n as usize, &after(day("2020-01-01"), days), lot) });
        }
        let analysis = analyse(&b.build(), date("2024-01-01"));
        analysis.recurrences[0].life.as_ref().expect("ages").b10_years
    };
    // 60 failures in 2,000 item-years, at all ages alike: one in 33.3 years, and B10 at 0.10536 of that.
    for is_remembered in [false, true] {
        for labels in [[Some("L"), Some("OLD"), None, None], [Some("L"), Some("L"), None, None]] {
            let b10 = b10_years(is_remembered, labels);
            assert!(near(b10, 3.51, 0.1), "{is_remembered} {labels:?}: {b10}");
        }
    }
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

/// Five items issued every 60 days for eight years fail at a steady rate, and half of what fails is found when the unit looks
/// its items over on New Year's Day. Items of which many ages are possible failed at any time since that look or their issue:
/// those issued a week before it hardly at all.
#[test]
fn what_a_look_finds_failed_at_any_time_since_the_one_before() {
    let mut b = small(&["L"]);
    let (first, last) = (day("2014-01-01"), day("2022-01-01"));
    let mut draw = draws(11);
    let mut uniform = || (draw() % 1_000_000) as f64 / 1e6;
    let mut number = 0;
    for from in (first.0..last.0).step_by(60) {
        issue(&mut b, &movement(&Day(from).to_string(), K::Issue, "L", "A", 5));
        let mut failed = f64::from(from);
        loop {
            // Five items at 0.4 failures a year.
            failed -= (1.0 - uniform()).ln() / 2.0 * 365.25;
            if failed >= f64::from(last.0) {
                break;
            }
            number += 1;
            let on = Day(failed as i32);
            let found = if uniform() < 0.5 {
                split(number, &on.to_string(), Some("L"))
            } else {
                let next_look =
                    Day::from(NaiveDate::from_ymd_opt(on.date().year() + 1, 1, 1).expect("a date"));
                let on = Some(next_look).filter(|look| *look <= last).unwrap_or(last).to_string();
                Report { found_when: Some(FoundWhen::Inspection), ..split(number, &on, Some("L")) }
            };
            add(&mut b, &found);
        }
    }
    for year in 2014..=2022 {
        let look = Inspection {
            inspected_on: NaiveDate::from_ymd_opt(year, 1, 1).expect("a date"),
            unit: "A".into(),
            lot_no: None,
            part_no: "ZIPPER".into(),
            mode: "ZIP-2".into(),
            inspected: 10,
            found: 0,
            notice_no: None,
        };
        b.inspection(&look).expect("known names");
    }
    let analysis = analyse(&b.build(), date("2022-01-01"));
    let life = analysis.recurrences[0].life.as_ref().expect("failures");
    assert!(life.found_at_inspection > 100, "{life:?}");
    assert!(near(life.shape, 1.0, 0.2) && life.pattern != Pattern::Early, "{life:?}");
}

#[test]
fn a_handful_of_failures_tells_no_pattern() {
    let mut b = small(&["L"]);
    issue(&mut b, &movement("2018-01-01", K::Issue, "L", "A", 1000));
    for (n, on) in ["2022-09-01", "2023-03-01", "2023-08-01", "2023-11-01"].into_iter().enumerate() {
        add(&mut b, &split(n, on, Some("L")));
    }
    let analysis = analyse(&b.build(), date("2024-01-01"));
    let life = analysis.recurrences[0].life.as_ref().expect("failures");
    assert!(life.shape_low > 1.0 && life.pattern == Pattern::Open && !life.is_told(), "{life:?}");
}
