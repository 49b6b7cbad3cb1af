//! Doubles in small fields: near dates and rare values speak for one failure, facts that differ against it.

use crate::common;
use crate::common::{builder, date, part, unit};
use chrono::{Days, NaiveDate};
use domain::doubles::{PROPOSED, doubles_of, possible_doubles};
use domain::field::{Field, Id as _, ReportId};
use domain::report::{FoundWhen, Harm, Report};
use domain::unit::UnitKind;

fn on(day: u64) -> NaiveDate {
    date("2026-01-01") + Days::new(day)
}

/// Reports of one crew on one item, one a month of ever another mode, size and lot, and `more` among them.
fn field(more: &[Report]) -> Field {
    let mut builder = builder();
    for code in ["COVE-2", "RIDGE-1"] {
        builder.unit(&unit(code, UnitKind::Wearing)).expect("new");
    }
    for (number, kind) in [("RC-100", "ITEM"), ("RC-131", "ZIP")] {
        builder.part(&part(number, "A", kind)).expect("new");
    }
    for month in 0..60_u64 {
        let usual = Report {
            mode: Some(format!("ZIP-{}", month % 6 + 1)),
            lot_text: Some(format!("L-{month}")),
            size: Some(["S", "M", "L"][month as usize % 3].into()),
            ..report(&format!("U-{month}"), 30 * month)
        };
        builder.report(&usual).expect("new");
    }
    for report in more {
        builder.report(report).expect("new");
    }
    builder.build()
}

fn report(report_ref: &str, day: u64) -> Report {
    Report {
        part_no: Some("RC-131".into()),
        mode: Some("ZIP-1".into()),
        lot_text: Some("TB-0418".into()),
        size: Some("M".into()),
        found_when: Some(FoundWhen::InUse),
        harm: Some(Harm::None),
        ..common::report(report_ref, &on(day).to_string(), "COVE-2", "RC-100", None)
    }
}

fn pairs(field: &Field) -> Vec<(String, String)> {
    let name = |id: ReportId| field.report_ref(id).to_owned();
    let found = possible_doubles(field, on(9999).into());
    found.into_iter().map(|double| (name(double.first), name(double.second))).collect()
}

#[test]
fn the_same_failure_sent_again_the_next_day_is_proposed_and_only_that() {
    let field = field(&[report("A", 100), report("B", 101)]);
    assert_eq!(pairs(&field), [("A".to_owned(), "B".to_owned())]);
    assert!(possible_doubles(&field, on(100).into()).is_empty(), "the second has not arrived");
}

/// 400 reports of another crew on the same lot, size and mode come half a year later: what agreeing was worth stays as it was.
#[test]
fn what_comes_later_changes_no_figure_of_a_day() {
    let pair = [report("A", 1510), report("B", 1511)];
    let later = (0..400).map(|n| Report { unit: "RIDGE-1".into(), ..report(&format!("N-{n}"), 1700 + n) });
    let odds = |more: &[Report]| possible_doubles(&field(more), on(1550).into())[0].odds;
    assert_eq!(odds(&pair), odds(&pair.iter().cloned().chain(later).collect::<Vec<_>>()));
}

#[test]
fn another_serial_another_size_or_another_crew_is_another_failure() {
    let first = Report { serial: Some("S-1".into()), ..report("A", 100) };
    let serial = Report { serial: Some("S-2".into()), ..report("B", 101) };
    let size = Report { size: Some("L".into()), mode: Some("ZIP-2".into()), ..report("C", 101) };
    let crew = Report { unit: "RIDGE-1".into(), ..report("D", 101) };
    let late = report("E", 120);
    for other in [serial, size, crew, late] {
        let name = other.report_ref.clone();
        assert!(pairs(&field(&[first.clone(), other])).is_empty(), "{name}");
    }
}

#[test]
fn like_words_speak_for_one_failure_and_a_busy_crew_against_it() {
    let plain = |name: &str, day| Report { lot_text: None, mode: None, part_no: None, ..report(name, day) };
    let odds = |field: &Field| doubles_of(field, "A").first().map_or(0.0, |double| double.odds);
    let silent = odds(&field(&[plain("A", 100), plain("B", 101)]));
    let told = |name: &str, day| Report {
        narrative: Some("front zip split behind the slider when I bent over the oar".into()),
        ..plain(name, day)
    };
    let alike = odds(&field(&[told("A", 100), told("B", 101)]));
    assert!(alike > 10.0 * silent, "{alike} {silent}");
    let others: Vec<Report> = (0..200).map(|n| plain(&format!("N-{n}"), 2000 + n)).collect();
    let busy = odds(&field(&[vec![told("A", 100), told("B", 101)], others].concat()));
    assert!(busy < alike, "{busy} {alike}");
}

#[test]
fn of_one_report_every_near_one_is_weighed_the_most_probable_first() {
    let far = Report { mode: Some("ZIP-2".into()), lot_text: Some("X".into()), ..report("C", 103) };
    let field = field(&[report("A", 100), far, report("B", 100)]);
    let found = doubles_of(&field, "A");
    let named: Vec<&str> = found.iter().map(|double| field.report_ref(double.second)).collect();
    assert_eq!(named, ["B", "C"]);
    assert!(found[0].probability() > PROPOSED && found[1].probability() < PROPOSED);
    assert!(doubles_of(&field, "nobody").is_empty());
    assert_eq!(ReportId::from_index(60), found[0].first);
}

/// One item and no harm, which nearly all reports say, against three and a near miss: whichever of the two is asked about, the
/// odds are the same, and to differ makes them no better.
#[test]
fn a_disagreement_speaks_against_a_double_from_either_side() {
    let usual = Report { lot_text: None, ..report("A", 100) };
    let rare = Report {
        quantity: 3,
        harm: Some(Harm::NearMiss),
        ..Report { report_ref: "B".into(), ..usual.clone() }
    };
    let like = Report { report_ref: "C".into(), ..usual.clone() };
    let pair = [60, 61].map(ReportId::from_index);
    let of = |field: &Field, one: &str| {
        let all = doubles_of(field, one);
        all.iter().find(|double| [double.first, double.second] == pair).expect("both").odds
    };
    let differing = field(&[usual.clone(), rare]);
    let (there, back) = (of(&differing, "A"), of(&differing, "B"));
    assert!(there > 0.0 && (there / back - 1.0).abs() < 1e-12, "{there} {back}");
    let agreeing = of(&field(&[usual, like]), "A");
    assert!(there < agreeing / 10.0, "{there} {agreeing}");
}
