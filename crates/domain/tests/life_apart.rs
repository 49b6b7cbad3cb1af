//! Shapes of life where something else than age could pass for it, against failures placed by hand at the quantiles of a known
//! rate: no draw is in them.

use domain::analysis::{Analysis, Life, Pattern, analyse};
use domain::change::ChangeState;
use domain::field::Day;
use domain::inspection::Inspection;
use domain::movement::MovementKind as K;
use domain::report::{FoundWhen, Report};

use crate::common::{changed, date, day, movement, report, small};

/// `n` failures of items issued on a day, over so many days, where a rate that goes with the age to the power of `shape - 1`
/// puts them.
fn ages(issued_on: &str, n: usize, over: f64, shape: f64) -> impl Iterator<Item = (Day, f64)> {
    let from = day(issued_on);
    (0..n).map(move |i| {
        let age = over * ((i as f64 + 0.5) / n as f64).powf(1.0 / shape);
        (Day(from.0 + age as i32), age)
    })
}

fn split(reference: String, on: Day, lot: Option<&str>) -> Report {
    let found = report(&reference, &on.to_string(), "A", "PACK", lot);
    Report { part_no: Some("ZIPPER".into()), mode: Some("ZIP-1".into()), ..found }
}

fn life(analysis: &Analysis) -> &Life {
    analysis.recurrences[0].life.as_ref().expect("failures with an age")
}

fn near(a: f64, b: f64, tolerance: f64) -> bool {
    (a - b).abs() <= tolerance
}

/// 1,000 items fail 50 times a year for six years whatever their age, 1,000 built to a change ten times a year for two. The new
/// ones are the young ones, and age makes no difference; 60 are to come in a year, where one rate for all and the age that would
/// pass for the reason of it foretold a third more.
#[test]
fn a_change_that_works_does_not_pass_for_wear_out() {
    let mut b = changed(ChangeState::CutIn, &["ZIP-1"], "2022-01-01");
    for (lot, on, n, years) in [("OLD", "2018-01-01", 300, 6.0), ("NEW", "2022-01-01", 20, 2.0)] {
        b.movement(&movement(on, K::Issue, lot, "A", 1000)).expect("known");
        for (i, (found, _)) in ages(on, n, years * 365.25, 1.0).enumerate() {
            b.report(&split(format!("{lot}-{i}"), found, Some(lot))).expect("known");
        }
    }
    let analysis = analyse(&b.build(), date("2024-01-01"));
    let life = life(&analysis);
    assert!(near(life.shape, 1.0, 0.03) && life.pattern == Pattern::Steady, "{life:?}");
    let year = analysis.recurrences[0].forecast.as_ref().expect("in service").year();
    assert!(near(year.expected, 60.0, 4.0), "{year:?}");
}

/// No label is read, and the weeks worn are told: an item remembered as worn for 100 weeks failed at one age, and was not at risk
/// of it at all those that memory allows.
#[test]
fn remembered_weeks_do_not_make_a_life_steeper() {
    for shape in [0.7, 1.0, 2.0] {
        let mut b = small(&["L"]);
        b.movement(&movement("2018-01-01", K::Issue, "L", "A", 1000)).expect("known");
        for (i, (found, age)) in ages("2018-01-01", 400, 6.0 * 365.25, shape).enumerate() {
            let told = split(format!("R-{i}"), found, None);
            b.report(&Report { worn_weeks: Some(age / 7.0), ..told }).expect("known");
        }
        let analysis = analyse(&b.build(), date("2024-01-01"));
        assert!(near(life(&analysis).shape, shape, 0.06 * shape), "{shape}: {:?}", life(&analysis));
    }
}

/// All failures of 1,000 items are found when the unit looks once a year, the last time nearly a year ago: what has come about
/// since then nobody has seen, and it is no sign that old items fail less.
#[test]
fn what_nobody_has_looked_at_yet_is_not_taken_as_whole() {
    for shape in [0.7, 1.0, 2.0] {
        let mut b = small(&["L"]);
        b.movement(&movement("2018-01-01", K::Issue, "L", "A", 1000)).expect("known");
        // Reports have been kept from the first day on.
        let other = Report { mode: Some("ZIP-2".into()), ..split("R".into(), day("2018-01-02"), Some("L")) };
        b.report(&other).expect("known");
        let looks: Vec<String> = (2019..=2023).map(|year| format!("{year}-01-01")).collect();
        for on in &looks {
            let look = Inspection {
                inspected_on: date(on),
                unit: "A".into(),
                lot_no: None,
                part_no: "ZIPPER".into(),
                mode: "ZIP-1".into(),
                inspected: 1000,
                found: 0,
                notice_no: None,
            };
            b.inspection(&look).expect("known");
        }
        for (i, (failed, _)) in ages("2018-01-01", 400, 6.0 * 365.25 - 12.0, shape).enumerate() {
            let Some(look) = looks.iter().map(|on| day(on)).find(|look| *look >= failed) else { continue };
            let told = split(format!("R-{i}"), look, Some("L"));
            b.report(&Report { found_when: Some(FoundWhen::Inspection), ..told }).expect("known");
        }
        let analysis = analyse(&b.build(), date("2023-12-20"));
        let life = life(&analysis);
        assert!(near(life.shape, shape, 0.05 * shape) && life.failures > 250, "{shape}: {life:?}");
    }
}
