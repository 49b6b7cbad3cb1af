//! Use, inspections and spare parts beside reports, against books worked by hand.

use std::collections::BTreeSet;

use crate::common::{date, day, lot, lot_id, movement, part, report, small, unit_id};
use domain::analysis::{Analysis, FactorLevel, Looked, analyse};
use domain::demand::Demand;
use domain::field::{Field, FieldBuilder};
use domain::inspection::Inspection;
use domain::movement::MovementKind as K;
use domain::report::Report;
use domain::use_pattern::{UseBasis, UsePattern};

fn split(reference: &str, on: &str, unit: &str, lot_no: &str) -> Report {
    Report {
        part_no: Some("ZIPPER".into()),
        mode: Some("ZIP-1".into()),
        ..report(reference, on, unit, "PACK", Some(lot_no))
    }
}

fn add_reports(b: &mut FieldBuilder, on: &str, unit: &str, lot_no: &str, n: usize) {
    for i in 0..n {
        b.report(&split(&format!("{unit}-{lot_no}-{on}-{i}"), on, unit, lot_no)).expect("known names");
    }
}

fn near(a: f64, b: f64, tolerance: f64) -> bool {
    (a - b).abs() <= tolerance
}

fn worn(unit: &str, hours_a_year: f64) -> UsePattern {
    UsePattern {
        unit: unit.into(),
        from: date("2023-01-01"),
        to: None,
        activity: None,
        wear_hours_per_item_month: hours_a_year / 12.0,
        basis: Some(UseBasis::Measured),
    }
}

/// A school's 60 items worn 200 days a year with 24 failures, 1,140 others worn 25 days with 57, for one year; a day of
/// wear is taken as 3 hours here, which cancels.
fn schoolhouse() -> FieldBuilder {
    let mut b = small(&["L1"]);
    for (unit, items) in [("A", 60), ("B", 1140)] {
        b.movement(&movement("2024-01-01", K::Issue, "L1", unit, items)).expect("known names");
    }
    b.use_pattern(&worn("A", 3.0 * 200.0)).expect("known names");
    b.use_pattern(&worn("B", 3.0 * 25.0)).expect("known names");
    add_reports(&mut b, "2024-06-01", "A", "L1", 24);
    add_reports(&mut b, "2024-06-01", "B", "L1", 57);
    b
}

/// By hand: 24 / 60 = 400 and 57 / 1,140 = 50 per 1,000 item-years; 24 / 12,000 = 57 / 28,500 = 2.0 per 1,000 days worn.
#[test]
fn a_school_that_wears_eight_times_as_much_fails_no_more_for_it() {
    let field = schoolhouse().build();
    // 365.25 days after the issue to the nearest day.
    let analysis = analyse(&field, date("2024-12-31"));
    let wear = analysis.recurrences[0].wear.as_ref().expect("use is on record");
    let days_worn = 3.0;
    for (at, unit, by_calendar) in [(0, "A", 400.0), (1, "B", 50.0)] {
        let line = wear.units[at];
        assert_eq!(line.unit, unit_id(&field, unit));
        assert!(near(line.by_calendar.estimate, by_calendar, 0.003 * by_calendar), "{line:?}");
        assert!(near(line.by_use.estimate * days_worn, 2.0, 0.01), "{line:?}");
    }
    assert!(
        near(wear.rate.estimate * days_worn, 81.0 / 40_500.0 * 1000.0, 0.01)
            && near(wear.recorded, 1.0, 1e-12)
    );
}

/// A unit that went out in boats for ten years and has climbed for one, in equal hours, with ten reports of the one and one of
/// the other: 10 of the 11 hours are spent in boats, so that neither stands out. A report of climbing from before that was
/// on record has no hours to be held against.
#[test]
fn an_activity_whose_use_has_no_end_lasts_until_the_date_of_the_figures() {
    let mut b = small(&["L1"]);
    b.movement(&movement("2014-01-01", K::Issue, "L1", "A", 100)).expect("known names");
    for (activity, from) in [("boat", "2014-01-01"), ("climb", "2023-01-01")] {
        let activity = Some(activity.to_owned());
        b.use_pattern(&UsePattern { activity, from: date(from), ..worn("A", 120.0) }).expect("known names");
    }
    let mut tell = |activity: &str, on: &str| {
        let one = split(&format!("{activity}-{on}"), on, "A", "L1");
        b.report(&Report { activity: Some(activity.into()), ..one }).expect("known names");
    };
    (2014..2024).for_each(|year| tell("boat", &format!("{year}-06-01")));
    tell("climb", "2023-06-01");
    tell("climb", "2020-06-01");
    let analysis = analyse(&b.build(), date("2023-12-31"));
    let levels = analysis.recurrences[0].concentrations.iter().flatten();
    let told: Vec<_> = levels.filter(|c| matches!(c.level, FactorLevel::Activity(_))).collect();
    assert_eq!(told.iter().map(|c| c.reports).collect::<BTreeSet<_>>(), BTreeSet::from([1, 10]));
    assert!(told.iter().all(|c| c.ratio.is_some_and(|ratio| near(ratio, 1.0, 0.01))), "{told:?}");
}

/// Ten items in boats for a year with one report, then 200 climbing for a year with twenty, in equal hours an item: one report
/// for each 10 item-years of either, so that neither stands out however many items came in with the climbing.
#[test]
fn activities_are_compared_by_the_hours_of_all_the_items_that_were_there() {
    let mut b = small(&["L1"]);
    b.movement(&movement("2022-01-01", K::Issue, "L1", "A", 10)).expect("known names");
    b.movement(&movement("2023-01-01", K::Issue, "L1", "A", 190)).expect("known names");
    for (activity, from, to) in
        [("boat", "2022-01-01", Some("2022-12-31")), ("climb", "2023-01-01", Some("2023-12-31"))]
    {
        let (activity, to) = (Some(activity.to_owned()), to.map(date));
        b.use_pattern(&UsePattern { activity, from: date(from), to, ..worn("A", 120.0) })
            .expect("known names");
    }
    for n in 0..21 {
        let (activity, on) = if n == 0 { ("boat", "2022-06-01") } else { ("climb", "2023-06-01") };
        let one = split(&format!("R-{n}"), on, "A", "L1");
        b.report(&Report { activity: Some(activity.into()), ..one }).expect("known names");
    }
    let analysis = analyse(&b.build(), date("2023-12-31"));
    let levels = analysis.recurrences[0].concentrations.iter().flatten();
    let told: Vec<_> = levels.filter(|c| matches!(c.level, FactorLevel::Activity(_))).collect();
    assert_eq!(told.iter().map(|c| c.reports).collect::<BTreeSet<_>>(), BTreeSet::from([1, 20]));
    assert!(told.iter().all(|c| c.ratio.is_some_and(|ratio| near(ratio, 1.0, 0.01))), "{told:?}");
}

#[test]
fn days_without_a_record_of_use_have_neither_hours_nor_failures() {
    let mut b = small(&["L1"]);
    b.movement(&movement("2024-01-01", K::Issue, "L1", "A", 100)).expect("known names");
    b.use_pattern(&UsePattern { from: date("2024-07-01"), to: Some(date("2024-09-30")), ..worn("A", 120.0) })
        .expect("known names");
    add_reports(&mut b, "2024-06-30", "A", "L1", 5);
    add_reports(&mut b, "2024-09-30", "A", "L1", 3);
    add_reports(&mut b, "2024-10-01", "A", "L1", 5);
    let analysis = analyse(&b.build(), date("2025-01-01"));
    let wear = analysis.recurrences[0].wear.as_ref().expect("use is on record");
    assert_eq!(wear.rate.occasions, 3);
    // 92 of 366 days.
    assert!(near(wear.recorded, 92.0 / 366.0, 1e-12), "{wear:?}");
    assert!(near(wear.units[0].hours, 100.0 * 120.0 * 92.0 / 365.25, 1e-6), "{wear:?}");
    // Before the records of use begin nothing can be said.
    let before = analyse(&schoolhouse_without_use(), date("2024-12-31"));
    assert!(before.recurrences[0].wear.is_none());
}

/// By hand: 100 packs of one lot and 50 of another for 365 days, 120 hours an item and year; the ropes beside them have no
/// fastener to wear.
#[test]
fn hours_worn_are_those_of_all_lots_that_hold_the_part_and_of_no_other_item() {
    let mut b = small(&["L1", "L2"]);
    b.part(&part("ROPE", "A", "ITEM")).expect("new part");
    b.lot(&lot("R-1", "ROPE", "A")).expect("new lot");
    for (lot_no, items) in [("L1", 100), ("R-1", 1000), ("L2", 50)] {
        b.movement(&movement("2024-01-01", K::Issue, lot_no, "A", items)).expect("known names");
    }
    b.use_pattern(&worn("A", 120.0)).expect("known names");
    add_reports(&mut b, "2024-06-01", "A", "L1", 3);
    let analysis = analyse(&b.build(), date("2024-12-31"));
    let wear = analysis.recurrences[0].wear.as_ref().expect("use is on record");
    let item_years = 150.0 * 365.0 / 365.25;
    assert!(near(wear.hours, 120.0 * item_years, 1e-9), "{wear:?}");
    assert_eq!(wear.units.len(), 1);
    assert!(near(wear.units[0].item_years, item_years, 1e-9) && near(wear.recorded, 1.0, 1e-12), "{wear:?}");
}

fn schoolhouse_without_use() -> Field {
    let mut b = small(&["L1"]);
    b.movement(&movement("2024-01-01", K::Issue, "L1", "A", 60)).expect("known names");
    add_reports(&mut b, "2024-06-01", "A", "L1", 24);
    b.build()
}

fn inspection(lot_no: Option<&str>, inspected: u32, found: u32) -> Inspection {
    Inspection {
        inspected_on: date("2025-03-01"),
        unit: "A".into(),
        lot_no: lot_no.map(Into::into),
        part_no: "ZIPPER".into(),
        mode: "ZIP-1".into(),
        inspected,
        found,
        notice_no: Some("N-7".into()),
    }
}

/// A lot of 800 item-years with 4 reports beside peers of 8,000 with 40. A notice asks for a look at it: 310 looked at,
/// 22 found, told in one report.
fn surge(found_among_peers: u32) -> FieldBuilder {
    let mut b = small(&["LOT", "PEERS"]);
    b.movement(&movement("2024-01-01", K::Issue, "LOT", "A", 640)).expect("known names");
    b.movement(&movement("2024-01-01", K::Issue, "PEERS", "A", 6400)).expect("known names");
    add_reports(&mut b, "2024-09-01", "A", "LOT", 4);
    for month in 1..=10 {
        add_reports(&mut b, &format!("2024-{month:02}-10"), "A", "PEERS", 4);
    }
    let prompted =
        Report { quantity: 22, prompted_by: Some("N-7".into()), ..split("P", "2025-03-01", "A", "LOT") };
    b.report(&prompted).expect("known names");
    b.inspection(&inspection(Some("LOT"), 310, 22)).expect("known names");
    b.inspection(&inspection(Some("PEERS"), 300, found_among_peers)).expect("known names");
    b
}

fn after_the_notice(found_among_peers: u32) -> (Field, Analysis) {
    let field = surge(found_among_peers).build();
    // 456 days after the issue, 1.248 years.
    let analysis = analyse(&field, date("2025-04-01"));
    (field, analysis)
}

/// Clopper-Pearson for 22 of 310 is 4.5 % to 10.5 % (binom.test of R gives 0.0450 and 0.1054, from memory).
#[test]
fn a_surge_that_a_notice_called_for_is_no_signal_and_its_share_is_said() {
    let (field, analysis) = after_the_notice(20);
    let r = &analysis.recurrences[0];
    assert!(near(r.item_years.best, 8800.0, 11.0), "{:?}", r.item_years);
    let lot = lot_id(&field, "LOT");
    let line = r.lots.iter().find(|line| line.lot == lot).expect("a lot with reports");
    assert!(line.reports == 4 && !line.flagged && near(line.expected.expect("peers"), 4.0, 1e-6), "{line:?}");
    assert_eq!(r.first_signal_on, None, "one report of 22 items because of a notice is no signal");
    let looked = r.looked.iter().find(|looked| looked.lot == Some(lot)).expect("it was looked at");
    let (share, low, high) = looked.own.share().expect("items were looked at");
    let rounded = |x: f64| (1000.0 * x).round();
    assert_eq!((rounded(share), rounded(low), rounded(high)), (71.0, 45.0, 105.0));
    assert_eq!(looked.others.map(|o| (o.found, o.inspected)), Some((20, 300)));
    assert!(!looked.stands_out, "the others show it as often: not the lot");
    let said = "ZIPPER ZIP-1: lot LOT shows it in 22 of 310 items looked at, 7.1 % (4.5 to 10.5), the others in 20 of 300: not the lot.";
    assert!(analysis.warnings.iter().any(|w| w == said), "{:?}", analysis.warnings);
}

#[test]
fn a_lot_that_shows_it_more_often_than_the_others_looked_at_stands_out() {
    let (field, analysis) = after_the_notice(4);
    let lot = Some(lot_id(&field, "LOT"));
    let looked = analysis.recurrences[0].looked.iter().find(|looked| looked.lot == lot).expect("looked at");
    assert!(looked.stands_out, "{looked:?}");
    assert!(!analysis.warnings.iter().any(|w| w.ends_with("not the lot.")), "{:?}", analysis.warnings);
}

/// One of 59 looked at beside one of 60 is the same share, and may as well be of a lot that is far worse.
#[test]
fn a_lot_of_which_few_were_looked_at_is_not_cleared() {
    let mut b = small(&["LOT", "PEERS"]);
    b.movement(&movement("2024-01-01", K::Issue, "LOT", "A", 640)).expect("known names");
    b.movement(&movement("2024-01-01", K::Issue, "PEERS", "A", 6400)).expect("known names");
    add_reports(&mut b, "2024-09-01", "A", "LOT", 4);
    b.inspection(&inspection(Some("LOT"), 59, 1)).expect("known names");
    b.inspection(&inspection(Some("PEERS"), 60, 1)).expect("known names");
    let analysis = analyse(&b.build(), date("2025-04-01"));
    let verdicts: BTreeSet<_> = analysis.recurrences[0].looked.iter().map(Looked::verdict).collect();
    assert_eq!(verdicts, BTreeSet::from(["the lot is not shown to be worse"]));
}

/// The pack of a reviewer: two parts drawn in the two months that are over, 50 in the one that has just begun.
#[test]
fn parts_drawn_in_a_month_that_is_not_over_stand_beside_no_reports() {
    let mut b = small(&["L1"]);
    b.movement(&movement("2020-01-06", K::Issue, "L1", "A", 1000)).expect("known names");
    for (month, quantity_drawn) in [("2022-01-01", 1), ("2022-02-01", 1), ("2022-03-01", 50)] {
        b.demand(&Demand { month: date(month), part_no: "ZIPPER".into(), quantity_drawn })
            .expect("known names");
    }
    add_reports(&mut b, "2022-01-05", "A", "L1", 1);
    add_reports(&mut b, "2022-02-05", "A", "L1", 1);
    let field = b.build();
    let drawn = |as_of: &str| analyse(&field, date(as_of)).recurrences[0].drawn.expect("months are over").all;
    let all = drawn("2022-03-01");
    assert_eq!((all.drawn, all.told, all.to), (2, 2, day("2022-03-01")));
    assert_eq!((drawn("2022-03-30").drawn, drawn("2022-03-31").drawn), (2, 52));
}

#[test]
fn parts_drawn_stand_beside_the_items_reported_over_the_same_months() {
    let mut b = small(&["L1"]);
    b.movement(&movement("2023-01-01", K::Issue, "L1", "A", 500)).expect("known names");
    for (month, quantity_drawn) in [("2023-06-01", 10), ("2024-03-01", 20), ("2024-11-01", 30)] {
        b.demand(&Demand { month: date(month), part_no: "ZIPPER".into(), quantity_drawn })
            .expect("known names");
    }
    add_reports(&mut b, "2023-05-31", "A", "L1", 9);
    add_reports(&mut b, "2023-06-01", "A", "L1", 2);
    add_reports(&mut b, "2024-11-30", "A", "L1", 4);
    add_reports(&mut b, "2024-12-01", "A", "L1", 8);
    let analysis = analyse(&b.build(), date("2025-01-01"));
    let drawn = analysis.recurrences[0].drawn.expect("demand is on record");
    assert_eq!((drawn.all.drawn, drawn.all.told), (60, 6));
    assert_eq!((drawn.all.from, drawn.all.to), (day("2023-06-01"), day("2024-12-01")));
    assert_eq!((drawn.last_year.drawn, drawn.last_year.told), (50, 4));
    assert_eq!(drawn.last_year.from, day("2023-12-01"));
    let (share, low, high) = drawn.all.share().expect("fewer reported than drawn");
    // Clopper-Pearson for 6 of 60: 3.8 % to 20.5 % (tables of exact binomial limits, from memory).
    assert!(near(share, 0.1, 1e-12) && near(low, 0.038, 5e-4) && near(high, 0.205, 5e-4), "{low} {high}");
}
