//! A field of which nobody reported for its first years: what is compared since then must not mistake the silence for a past
//! without failures.

use chrono::{Datelike as _, Days, NaiveDate};

use crate::common::{changed, date, movement, report, small, unit};
use domain::analysis::{Analysis, analyse, fleet_ground};
use domain::change::ChangeState;
use domain::field::FieldBuilder;
use domain::movement::MovementKind as K;
use domain::report::Report;
use domain::unit::UnitKind;

const UNITS: [&str; 6] = ["A", "B", "C", "D", "E", "F"];

/// A lot of 50 items to each of six units in every year from 2012 to 2025, each unit with one failure a year of each lot, on
/// days that spread over the year. Reports begin with 2021; some of earlier years may be told in 2026.
fn steady(told_later: &[&str]) -> Analysis {
    let lots: Vec<String> = (2012..2026).map(|year| format!("L{year}")).collect();
    let names: Vec<&str> = lots.iter().map(String::as_str).collect();
    let mut b = small(&names);
    for code in &UNITS[2..] {
        b.unit(&unit(code, UnitKind::Wearing)).expect("new unit");
    }
    let mut number = 0;
    let mut tell = |b: &mut FieldBuilder, (unit, lot): (&str, &str), found_on: NaiveDate, received_on| {
        number += 1;
        let found = Report {
            part_no: Some("ZIPPER".into()),
            mode: Some("ZIP-1".into()),
            received_on,
            ..report(&format!("R-{number}"), &found_on.to_string(), unit, "PACK", Some(lot))
        };
        b.report(&found).expect("known names");
    };
    for (at, lot) in names.iter().enumerate() {
        let issued = date(&format!("{}-01-01", 2012 + at));
        for (of, unit) in UNITS.iter().enumerate() {
            b.movement(&movement(&issued.to_string(), K::Issue, lot, unit, 50)).expect("known");
            for year in issued.year().max(2021)..2026 {
                let day = (at * UNITS.len() + of) * 37 % 365 + 1;
                let found = date(&format!("{year}-01-01")) + Days::new(day as u64);
                tell(&mut b, (unit, lot), found, found);
            }
        }
    }
    for day in told_later {
        tell(&mut b, ("A", "L2012"), date(day), date("2025-12-01"));
    }
    analyse(&b.build(), date("2026-01-01"))
}

#[test]
fn silence_before_the_first_report_makes_no_newer_lot_look_bad() {
    let analysis = steady(&[]);
    let found = &analysis.recurrences[0];
    let flagged: Vec<_> = found.lots.iter().filter(|line| line.flagged).collect();
    assert!(flagged.is_empty(), "{flagged:?}");
    for line in &found.lots {
        let expected = line.expected.expect("peers");
        assert!((f64::from(line.reports) / expected - 1.0).abs() < 0.25, "{line:?}");
    }
    assert!(found.concentrations.iter().flatten().all(|one| !one.flagged));
    // Years on record stay those of all service.
    assert!((found.item_years.best - 31_500.0).abs() < 60.0, "{:?}", found.item_years);
}

#[test]
fn silence_before_the_first_report_is_no_quiet_past() {
    assert_eq!(steady(&[]).recurrences[0].first_signal_on, None);
}

/// A mistyped year, or what somebody remembers years later, doesn't tell that all was reported at the time.
#[test]
fn a_few_reports_told_years_later_begin_no_records() {
    let (without, with) = (steady(&[]), steady(&["2012-02-01", "2016-05-01"]));
    let (one, other) = (&without.recurrences[0], &with.recurrences[0]);
    assert_eq!(other.reports, one.reports + 2);
    let expected = |analysis: &Analysis| -> Vec<_> {
        analysis.recurrences[0].lots.iter().map(|line| (line.lot, line.reports, line.expected)).collect()
    };
    assert_eq!(expected(&with), expected(&without));
    assert_eq!(other.first_signal_on, None);
    let shape = |analysis: &Analysis| analysis.recurrences[0].life.as_ref().expect("ages").shape;
    assert_eq!(shape(&with), shape(&without));
    let says = "Left out of them: 2 reports found earlier and told long after.";
    assert!(with.warnings.iter().any(|warning| warning.ends_with(says)), "{:?}", with.warnings);
}

/// 1,000 items since 2012 and 50 failures from 2021 on: what the options of retrofit are compared on is the five years of which
/// failures are known.
#[test]
fn options_of_retrofit_rest_on_the_years_with_reports() {
    let mut b = changed(ChangeState::Approved, &["ZIP-1"], "2026-06-01");
    b.movement(&movement("2012-01-01", K::Issue, "OLD", "A", 1000)).expect("known");
    for n in 0..50 {
        let found_on = date("2021-01-01") + Days::new(36 * n);
        let found = Report {
            part_no: Some("ZIPPER".into()),
            mode: Some("ZIP-1".into()),
            ..report(&format!("R-{n}"), &found_on.to_string(), "A", "PACK", Some("OLD"))
        };
        b.report(&found).expect("known names");
    }
    let field = b.build();
    let analysis = analyse(&field, date("2026-01-01"));
    let ground = fleet_ground(&field, &analysis, &analysis.changes[0]).expect("a rate before").ground;
    let item_years: f64 = ground.past.iter().map(|of| of.items * (of.to - of.from)).sum();
    assert!((item_years - 5000.0).abs() < 5.0, "{item_years}");
    assert!(ground.past[0].from > 8.9, "{:?}", ground.past[0]);
}
