//! A study that takes reports in one after another says what an analysis of all of them at once says.

use crate::common::{
    self,
    world::{Size, world},
};
use domain::analysis::{FALSE_SIGNALS_PER_YEAR, Study};
use domain::field::{Field, FieldBuilder, Id as _, ReportId};
use domain::report::{Harm, LotKnown, Report};

const AS_OF: &str = "2025-01-01";

fn studied(field: &Field) -> Study {
    Study::new(field.clone(), common::date(AS_OF), FALSE_SIGNALS_PER_YEAR)
}

fn the_same(study: &Study) {
    let (one, all) = (study.analysis(), studied(study.field()));
    let all = all.analysis();
    assert_eq!(one.counts, all.counts);
    assert_eq!(one.warnings, all.warnings);
    assert_eq!(one.reporting, all.reporting);
    assert_eq!(one.changes, all.changes);
    assert_eq!(one.recurrences.len(), all.recurrences.len());
    for (a, b) in one.recurrences.iter().zip(&all.recurrences) {
        assert_eq!(a, b);
    }
}

/// Adds a report, or puts it in the place of another.
fn with(field: &Field, report: &Report, in_place_of: Option<ReportId>) -> (Field, ReportId) {
    let mut builder = FieldBuilder::resume(field.clone());
    let id = in_place_of.unwrap_or(ReportId::from_index(field.reports.len()));
    match in_place_of {
        Some(id) => builder.replace_report(id, report, false),
        None => builder.report(report),
    }
    .expect("known names");
    (builder.build(), id)
}

/// Takes a report in as one that nobody has sorted, of a failure of half a year ago.
fn take_in_late(study: &mut Study, report: &Report) {
    let received_on = common::date(AS_OF);
    let found_on = received_on - chrono::Days::new(170);
    let late = Report { part_no: None, mode: None, found_on, received_on, ..report.clone() };
    let (field, id) = with(study.field(), &late, None);
    study.take_in(field, &[id]);
}

#[test]
fn reports_taken_in_one_by_one_end_where_all_at_once_do() {
    let size = Size { reports: 6000, lots: 300, movements: 2500, units: 25 };
    let (field, _, more) = world(size, 120, common::draws(3));
    let mut study = studied(&field);
    for (n, report) in more.iter().enumerate() {
        let old = (n % 3 == 0).then(|| ReportId::from_index(n * 41));
        let (field, id) = with(study.field(), report, old);
        study.take_in(field, &[id]);
        if n % 40 == 39 {
            assert!(study.is_behind());
            study.catch_up();
            assert!(!study.is_behind());
            the_same(&study);
        }
    }
}

/// Days count until nearly all reports on them have come; late ones that nobody has sorted move that day.
#[test]
fn figures_follow_late_reports_before_they_are_sorted() {
    let size = Size { reports: 300, lots: 60, movements: 300, units: 8 };
    let (field, _, more) = world(size, 40, common::draws(7));
    let mut study = studied(&field);
    for report in &more {
        take_in_late(&mut study, report);
    }
    assert!(study.is_behind(), "a window that has moved");
    study.catch_up();
    assert!(!study.is_behind());
    the_same(&study);
}

/// The last report of a recurrence is set aside while late ones move the days that figures are of.
#[test]
fn a_recurrence_without_reports_goes() {
    let size = Size { reports: 300, lots: 60, movements: 300, units: 8 };
    let (field, _, more) = world(size, 40, common::draws(9));
    let mut study = studied(&field);
    let known = |mode: &str| study.analysis().recurrences.iter().any(|r| *field.modes[r.mode].code == *mode);
    let rare =
        ["QRC-1", "QRC-2", "SHL-1", "RIV-1"].into_iter().find(|mode| !known(mode)).expect("a rare mode");
    let injury = Report {
        mode: Some(rare.into()),
        harm: Some(Harm::Injury),
        relevant: None,
        prompted_by: None,
        ..more[0].clone()
    };
    let (field, id) = with(study.field(), &injury, None);
    study.take_in(field, &[id]);
    study.catch_up();
    let recurrences = study.analysis().recurrences.len();
    let (field, id) = with(study.field(), &Report { relevant: Some(false), ..injury }, Some(id));
    study.take_in(field, &[id]);
    for report in &more[1..] {
        take_in_late(&mut study, report);
    }
    study.catch_up();
    assert_eq!(study.analysis().recurrences.len(), recurrences - 1);
    the_same(&study);
}

/// What a reader of a large field sees before the slow figures follow: counts, rate and risk are those of all reports.
#[test]
fn counts_rates_and_risks_follow_a_report_at_once() {
    let size = Size { reports: 3000, lots: 200, movements: 1500, units: 20 };
    let (field, _, more) = world(size, 60, common::draws(5));
    let mut study = studied(&field);
    for (n, report) in more.iter().enumerate() {
        let old = (n % 2 == 0).then(|| ReportId::from_index(n * 17));
        // Harm is rare: here it comes with some and goes again with half of these.
        let harm = |harm| Report { harm: Some(harm), ..report.clone() };
        let (field, id) =
            with(study.field(), &harm(if n % 4 < 2 { Harm::NearMiss } else { Harm::None }), old);
        study.take_in(field, &[id]);
        if n % 8 == 0 {
            let (field, id) = with(study.field(), &harm(Harm::None), Some(id));
            study.take_in(field, &[id]);
        }
    }
    let all = studied(study.field());
    assert_eq!(study.analysis().counts, all.analysis().counts);
    let mut newer = 0;
    for b in &all.analysis().recurrences {
        let Some(a) = study.analysis().recurrences.iter().find(|a| (a.part, a.mode) == (b.part, b.mode))
        else {
            continue;
        };
        assert_eq!(
            (a.reports, a.items, a.injuries, a.near_misses, a.prompted, &a.report_ids),
            (b.reports, b.items, b.injuries, b.near_misses, b.prompted, &b.report_ids)
        );
        assert_eq!((a.rate, &a.risk, a.on_receipt), (b.rate, &b.risk, b.on_receipt));
        assert_eq!((&a.spread, a.began_on()), (&b.spread, b.began_on()));
        newer += a.newer;
    }
    assert!(newer > 0, "a reader is told that other figures are older");
    let before: Vec<usize> = field.reports.iter().map(|(id, _)| id.index()).collect();
    assert_eq!(before.len(), 3000, "the first field is as it was");
}

#[test]
fn a_label_that_leads_nowhere_counts_while_its_report_is_there() {
    let size = Size { reports: 200, lots: 20, movements: 100, units: 4 };
    let (field, _, more) = world(size, 1, common::draws(5));
    let mut study = studied(&field);
    let before = study.analysis().counts;
    let as_of = common::date(AS_OF);
    let nowhere = Report {
        lot_text: Some("NO SUCH LOT".into()),
        lot_known: Some(LotKnown::Read),
        serial: None,
        received_on: as_of,
        ..more[0].clone()
    };
    let later = Report { received_on: as_of + chrono::Days::new(1), ..nowhere.clone() };
    let mut take_in = |report: &Report, in_place_of| {
        let (field, id) = with(study.field(), report, in_place_of);
        study.take_in(field, &[id]);
        assert_eq!(study.analysis().counts, studied(study.field()).analysis().counts);
        (id, study.analysis().counts)
    };
    let (id, there) = take_in(&nowhere, None);
    assert_eq!((there.reports, there.lot_unresolved), (before.reports + 1, before.lot_unresolved + 1));
    assert_eq!(take_in(&later, Some(id)).1, before);
    assert_eq!(take_in(&nowhere, Some(id)).1, there);
}
