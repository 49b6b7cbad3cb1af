//! The reporting fraction against cases worked by hand.

use crate::common::{date, movement, report, small};
use chrono::Days;
use domain::analysis::{Analysis, analyse};
use domain::field::FieldBuilder;
use domain::inspection::Inspection;
use domain::movement::MovementKind as K;
use domain::report::{FoundWhen, ItemFate, Report};

fn split(n: usize, unit: &str) -> Report {
    Report {
        part_no: Some("ZIPPER".into()),
        mode: Some("ZIP-1".into()),
        ..report(&format!("{unit}-{n}"), "2024-05-01", unit, "PACK", Some("L"))
    }
}

fn looked(unit: &str, inspected: u32, found: u32) -> Inspection {
    Inspection {
        inspected_on: date("2024-07-01"),
        unit: unit.into(),
        lot_no: None,
        part_no: "ZIPPER".into(),
        mode: "ZIP-1".into(),
        inspected,
        found,
        notice_no: None,
    }
}

/// 10,000 items at unit A and 1,000 at unit B.
fn books() -> FieldBuilder {
    let mut b = small(&["L"]);
    b.movement(&movement("2024-01-01", K::Issue, "L", "A", 10_000)).expect("known");
    b.movement(&movement("2024-01-01", K::Issue, "L", "B", 1_000)).expect("known");
    b
}

fn analysed(b: FieldBuilder) -> Analysis {
    analyse(&b.build(), date("2024-12-31"))
}

fn near(a: f64, b: f64, tolerance: f64) -> bool {
    (a - b).abs() <= tolerance
}

/// 40 reports from 10,000 items, 4 of 200 inspected show it: 40 x 200 / (10,000 x 4) = 0.20; limits given a share of
/// at most 1, 0.0802 to 0.5852, by numerical integration in mpmath.
#[test]
fn one_inspection_gives_the_survey_of_the_textbook() {
    let mut b = books();
    (0..40).for_each(|n| b.report(&split(n, "A")).expect("known"));
    b.inspection(&looked("A", 200, 4)).expect("known");
    let analysis = analysed(b);
    let recurrence = &analysis.recurrences[0];
    let share = recurrence.reporting_fraction.expect("inspected");
    assert!(near(share.estimate, 0.20, 1e-12), "{share:?}");
    assert!(near(share.low, 0.0802, 5e-5) && near(share.high, 0.5852, 5e-5), "{share:?}");
    assert_eq!((share.reports, share.inspections, share.inspected, share.found), (40, 1, 200, 4));
    let (rate, corrected) =
        (recurrence.rate.expect("exposure"), recurrence.corrected_rate.expect("inspected"));
    assert!(near(corrected.estimate, 5.0 * rate.estimate, 1e-9));
    assert!(corrected.low < corrected.estimate && corrected.estimate < corrected.high);
    assert!(corrected.high < rate.high / share.low, "not the worst of both at once");
    assert_eq!(analysis.reporting.all.map(|all| all.estimate), Some(share.estimate));
}

#[test]
fn without_an_inspection_nothing_is_said() {
    let mut b = books();
    (0..40).for_each(|n| b.report(&split(n, "A")).expect("known"));
    let analysis = analysed(b);
    assert_eq!(analysis.recurrences[0].reporting_fraction, None);
    assert_eq!(analysis.recurrences[0].corrected_rate, None);
    assert_eq!(analysis.reporting.all, None);
}

#[test]
fn prompted_reports_and_faults_on_unpacking_are_no_sign_of_willingness() {
    let mut b = books();
    (0..40).for_each(|n| b.report(&split(n, "A")).expect("known"));
    for n in 100..130 {
        b.report(&Report { prompted_by: Some("N-1".into()), ..split(n, "A") }).expect("known");
        b.report(&Report { found_when: Some(FoundWhen::OnReceipt), ..split(100 + n, "A") }).expect("known");
    }
    b.inspection(&looked("A", 200, 4)).expect("known");
    let analysis = analysed(b);
    let share = analysis.recurrences[0].reporting_fraction.expect("inspected");
    assert_eq!((share.reports, (share.estimate * 1e9).round()), (40, 2e8));
}

/// By hand: 10 of 40 items were exchanged for having been reported. The 30 that stayed are 0.15 of the 200 there; with
/// the 10 that no inspection can see, 40 of 210 failures were reported.
#[test]
fn items_exchanged_for_being_reported_cannot_be_found() {
    let mut b = books();
    for n in 0..40 {
        let fate = Some(if n < 10 { ItemFate::Exchanged } else { ItemFate::Repaired });
        b.report(&Report { item_fate: fate, ..split(n, "A") }).expect("known");
    }
    b.inspection(&looked("A", 200, 4)).expect("known");
    let share = analysed(b).recurrences[0].reporting_fraction.expect("inspected");
    assert!(near(share.estimate, 40.0 / 210.0, 1e-9), "{share:?}");
}

/// By hand: 60 of 400 were reported and exchanged, and a look at the 340 that are left finds 60: half was reported, known nearly
/// as well as 60 of 120 are. With one of them kept 60 of 119 were.
#[test]
fn where_all_that_was_reported_has_left_the_share_is_known_all_the_same() {
    let share_of = |kept: usize| {
        let mut b = small(&["L"]);
        b.movement(&movement("2024-01-01", K::Issue, "L", "A", 400)).expect("known");
        for n in 0..60 {
            let fate = Some(if n < kept { ItemFate::Kept } else { ItemFate::Exchanged });
            b.report(&Report { item_fate: fate, ..split(n, "A") }).expect("known");
        }
        b.movement(&movement("2024-06-01", K::Return, "L", "A", 60 - kept as u32)).expect("known");
        b.inspection(&looked("A", 340 + kept as u32, 60)).expect("known");
        analysed(b).recurrences[0].reporting_fraction.expect("inspected")
    };
    for (kept, share) in [(0, 60.0 / 120.0), (1, 60.0 / 119.0)] {
        let told = share_of(kept);
        assert!(near(told.estimate, share, 0.02), "{told:?}");
        assert!(told.low > 0.33 && told.high < 0.75, "{told:?}");
    }
}

/// By hand: 200 items, three failures reported unasked; a look at all finds twelve, those three among them, and the other nine
/// are written up that day or two days later: a quarter was reported. The rate of what came unasked, four times as high, is that
/// of the twelve, whether the nine are reported under the notice, as found at an inspection, or not at all.
#[test]
fn what_a_look_found_is_not_reported_unasked_for_being_written_up() {
    let found_by = |write_up: &dyn Fn(Report) -> Option<Report>| {
        let mut b = small(&["L"]);
        b.movement(&movement("2024-01-01", K::Issue, "L", "A", 200)).expect("known");
        let unasked = (0..3).map(|n| Some(split(n, "A")));
        let nine = (3..12).map(|n| write_up(split(n, "A")));
        unasked.chain(nine).flatten().for_each(|report| b.report(&report).expect("known"));
        b.inspection(&looked("A", 200, 12)).expect("known");
        let recurrence = analysed(b).recurrences[0].clone();
        let share = recurrence.reporting_fraction.expect("inspected");
        (share.estimate, recurrence.corrected_rate.expect("told").estimate, share.reports)
    };
    let at_look = |report: Report, on: &str| {
        let (found_on, received_on) = (date(on), date("2024-07-05"));
        Some(Report { found_on, received_on, found_when: Some(FoundWhen::Inspection), ..report })
    };
    let plain = found_by(&|_| None);
    assert!(near(plain.0, 0.25, 1e-9) && plain.2 == 3, "{plain:?}");
    assert_eq!(found_by(&|report| at_look(report, "2024-07-01")), plain);
    assert_eq!(found_by(&|report| at_look(report, "2024-07-03")), plain);
    assert_eq!(found_by(&|report| Some(Report { prompted_by: Some("N-1".into()), ..report })), plain);
}

/// By hand: ten reports of ten items each tell of half of the 200 that an inspection of all finds. The ten are known less well
/// than a hundred would be.
#[test]
fn a_report_counts_for_the_items_it_tells_of() {
    let share_of = |reports: usize, quantity: u32| {
        let mut b = books();
        (0..reports).for_each(|n| b.report(&Report { quantity, ..split(n, "B") }).expect("known"));
        b.inspection(&looked("B", 1000, 200)).expect("known");
        analysed(b).recurrences[0].reporting_fraction.expect("inspected")
    };
    let (tens, ones) = (share_of(10, 10), share_of(100, 1));
    assert!(near(tens.estimate, 0.5, 1e-9) && tens.reports == 10, "{tens:?}");
    assert!(near(tens.estimate, ones.estimate, 1e-9) && tens.low < ones.low - 0.1, "{tens:?} {ones:?}");
}

/// Two reports against two found, all looked at, are no share of 100 %.
#[test]
fn where_the_plain_share_is_above_its_limits_the_median_stands() {
    let mut b = books();
    (0..2).for_each(|n| b.report(&split(n, "B")).expect("known"));
    b.inspection(&looked("B", 1000, 2)).expect("known");
    let share = analysed(b).recurrences[0].reporting_fraction.expect("inspected");
    assert!(share.low < 0.2 && share.high < 1.0, "{share:?}");
    assert!(share.estimate > 0.3 && share.estimate < 0.7, "{share:?}");
}

/// As of 40 reports of one item each, above: 10 of 40 items were exchanged, all told in two reports.
#[test]
fn what_stayed_is_counted_in_items() {
    let mut b = books();
    for (n, quantity, fate) in [(0, 10, ItemFate::Exchanged), (1, 30, ItemFate::Repaired)] {
        b.report(&Report { quantity, item_fate: Some(fate), ..split(n, "A") }).expect("known");
    }
    b.inspection(&looked("A", 200, 4)).expect("known");
    let share = analysed(b).recurrences[0].reporting_fraction.expect("inspected");
    assert!(near(share.estimate, 40.0 / 210.0, 1e-9), "{share:?}");
}

/// Nothing shows it among all 1,000, yet 200 were told of: no share of at most 1 is probable, and the nearest is all of them.
/// One such unit does not silence the sum, nor the life, which leans on the share: items worn on unmended are still taken
/// off those at risk.
#[test]
fn far_more_reports_than_an_inspection_finds_are_all_that_failed() {
    let all_told = |fate: ItemFate| {
        let mut b = books();
        for n in 0..200 {
            let found_on = date("2024-02-01") + Days::new(n as u64 % 100);
            let one = Report { found_on, received_on: found_on, item_fate: Some(fate), ..split(n, "B") };
            b.report(&one).expect("known");
        }
        b.inspection(&looked("B", 1000, 0)).expect("known");
        analysed(b)
    };
    let analysis = all_told(ItemFate::Kept);
    let recurrence = &analysis.recurrences[0];
    let share = recurrence.reporting_fraction.expect("inspected");
    assert_eq!((share.estimate, share.low, share.high), (1.0, 1.0, 1.0));
    assert_eq!((analysis.reporting.all, analysis.reporting.units.len()), (Some(share), 1));
    let (rate, corrected) = (recurrence.rate.expect("exposure"), recurrence.corrected_rate.expect("told"));
    assert!(near(corrected.estimate, rate.estimate, 1e-12), "{corrected:?}");
    let shape = |analysis: &Analysis| analysis.recurrences[0].life.as_ref().expect("200 ages").shape;
    let (kept, mended) = (shape(&analysis), shape(&all_told(ItemFate::Repaired)));
    assert!(kept > 1.01 * mended, "{kept} {mended}");
}

/// 29 / 7 x 7 is a little above 29 in floating point: an inspection that finds all of them is one all the same.
#[test]
fn an_inspection_where_every_item_shows_it_is_no_less_an_inspection() {
    let mut b = small(&["L"]);
    b.movement(&movement("2024-01-01", K::Issue, "L", "A", 29)).expect("known");
    (0..2).for_each(|n| b.report(&split(n, "A")).expect("known"));
    b.inspection(&looked("A", 7, 7)).expect("known");
    let share = analysed(b).recurrences[0].reporting_fraction.expect("inspected");
    assert!(near(share.estimate, 2.0 / 29.0, 1e-9), "{share:?}");
}

#[test]
fn one_exchanged_item_does_not_make_all_failures_reported() {
    let mut b = books();
    for n in 0..2 {
        b.report(&Report { item_fate: Some(ItemFate::Exchanged), ..split(n, "A") }).expect("known");
    }
    b.inspection(&looked("A", 200, 4)).expect("known");
    let share = analysed(b).recurrences[0].reporting_fraction.expect("inspected");
    assert!(share.estimate < 0.5 && share.low < 0.1, "{share:?}");
}

/// By hand: A has 40 reported of 200, B 30 of 50; together 70 of 250, whatever share of each was looked at.
#[test]
fn units_count_for_what_they_hold() {
    let mut b = books();
    (0..40).for_each(|n| b.report(&split(n, "A")).expect("known"));
    (0..30).for_each(|n| b.report(&split(n, "B")).expect("known"));
    b.inspection(&looked("A", 200, 4)).expect("known");
    b.inspection(&looked("B", 200, 10)).expect("known");
    let analysis = analysed(b);
    let share = analysis.recurrences[0].reporting_fraction.expect("inspected");
    assert!(near(share.estimate, 70.0 / 250.0, 1e-9), "{share:?}");
    let units: Vec<f64> = analysis.reporting.units.iter().map(|(_, share)| share.estimate).collect();
    assert!(near(units[0], 0.2, 1e-9) && near(units[1], 0.6, 1e-9), "{units:?}");
}

/// Nothing found in few: any share can be, and the limits say so.
#[test]
fn an_inspection_that_finds_nothing_leaves_the_share_open() {
    let mut b = books();
    (0..40).for_each(|n| b.report(&split(n, "A")).expect("known"));
    b.inspection(&looked("A", 50, 0)).expect("known");
    let share = analysed(b).recurrences[0].reporting_fraction.expect("inspected");
    assert!(share.low < 0.2 && share.high > 0.9, "{share:?}");
}
