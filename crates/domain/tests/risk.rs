//! The risk of a recurrence, and what is said of the time before reports began, against small books worked by hand.

use crate::common::{date, movement, report, small};
use domain::analysis::{FALSE_SIGNALS_PER_YEAR, Risk, Study, analyse};
use domain::field::{Field, FieldBuilder, Id as _, ReportId};
use domain::movement::MovementKind as K;
use domain::report::{FoundWhen, Harm, Report};
use domain::risk::Level;

fn split(report_ref: &str, harm: Option<Harm>, found_when: Option<FoundWhen>) -> Report {
    Report {
        part_no: Some("ZIPPER".into()),
        mode: Some("ZIP-1".into()),
        harm,
        found_when,
        ..report(report_ref, "2024-06-01", "A", "PACK", Some("L1"))
    }
}

/// By hand: ten failures in 1,000 item-years and a life of five years, five of them with harm: 1 - exp(-0.01 x 0.5 x 5) =
/// 0.025, or 0.046 at the upper limits, which count where so few had harm: level B (MIL-STD-882E, Table A-II). A hundred
/// harmless finds on unpacking make nobody safer.
#[test]
fn what_is_found_on_unpacking_does_not_make_harm_in_service_rarer() {
    let books = |unpacked: usize| {
        let mut b = small(&["L1"]);
        b.movement(&movement("2024-01-01", K::Issue, "L1", "A", 1000)).expect("known");
        for n in 0..10 {
            let harm = (n < 5).then_some(Harm::NearMiss);
            b.report(&split(&format!("S{n}"), harm, None)).expect("known names");
        }
        for n in 0..unpacked {
            let found = split(&format!("U{n}"), None, Some(FoundWhen::OnReceipt));
            b.report(&found).expect("known names");
        }
        let analysis = analyse(&b.build(), date("2024-12-31"));
        analysis.recurrences[0].risk.clone().expect("a severity and a rate")
    };
    let (alone, among) = (books(0), books(100));
    assert_eq!((alone.probability, among.probability), (Level::B, Level::B), "{alone:?} {among:?}");
    assert!((alone.per_life - 0.046).abs() < 0.002, "{alone:?}");
    assert_eq!((alone.per_life, &alone.basis), (among.per_life, &among.basis));
}

/// The risk that these failures of 1,000 items make in a year.
fn risk_of(reports: impl IntoIterator<Item = Report>) -> Risk {
    let mut b = small(&["L1"]);
    b.movement(&movement("2024-01-01", K::Issue, "L1", "A", 1000)).expect("known");
    for report in reports {
        b.report(&report).expect("known names");
    }
    analyse(&b.build(), date("2024-12-31")).recurrences[0].risk.clone().expect("a severity and a rate")
}

/// By hand: ten in 999.3 item-years, each with an injury, and a life of five years: 1 - exp(-0.010007 x 5) = 0.0488, level B.
/// MIL-STD-882E rates the mishap; that nobody charges the design with it makes it no rarer.
#[test]
fn harm_that_is_not_chargeable_is_harm() {
    let injuries = |chargeable| {
        let one = move |n| Report { chargeable, ..split(&format!("S{n}"), Some(Harm::Injury), None) };
        risk_of((0..10).map(one))
    };
    let (charged, not_charged) = (injuries(Some(true)), injuries(Some(false)));
    assert!((not_charged.per_life - 0.0488).abs() < 5e-5, "{not_charged:?}");
    assert_eq!(not_charged.probability, Level::B);
    assert_eq!((not_charged.per_life, not_charged.level), (charged.per_life, charged.level));
    assert!(
        not_charged
            .basis
            .contains("10 of 10 reports with harm; estimates are used (the rate is of all of them"),
        "{}",
        not_charged.basis
    );
    assert!(!charged.basis.contains("chargeable"), "{}", charged.basis);
}

/// Ten near misses on unpacking are no harm in service, where ten failures did none.
#[test]
fn harm_on_unpacking_is_no_harm_in_service() {
    let harmless = || (0..10).map(|n| split(&format!("S{n}"), None, None));
    let unpacked = (0..10).map(|n| split(&format!("U{n}"), Some(Harm::NearMiss), Some(FoundWhen::OnReceipt)));
    let (alone, among) = (risk_of(harmless()), risk_of(harmless().chain(unpacked.clone())));
    assert!(among.basis.contains("0 of 10 reports with harm; harm is rare or unseen"), "{}", among.basis);
    assert_eq!(among, alone);
    let none = risk_of(unpacked);
    assert!(none.basis.contains("10 of 10 reports with harm; upper limits with 2 of them"), "{}", none.basis);
    assert!(none.basis.contains("on unpacking, none in service"), "{}", none.basis);
}

/// Reports that are judged not chargeable, or on unpacking after all.
#[test]
fn a_judgement_taken_in_moves_the_risk_as_a_new_analysis_would() {
    let mut b = small(&["L1"]);
    b.movement(&movement("2024-01-01", K::Issue, "L1", "A", 1000)).expect("known");
    let known = |n: usize| split(&format!("S{n}"), (n < 4).then_some(Harm::Injury), None);
    for n in 0..8 {
        b.report(&known(n)).expect("known names");
    }
    let study = |field: &Field| Study::new(field.clone(), date("2024-12-31"), FALSE_SIGNALS_PER_YEAR);
    let mut live = study(&b.build());
    let on_receipt = Some(FoundWhen::OnReceipt);
    let judged = [
        Report { chargeable: Some(false), ..known(0) },
        Report { found_when: on_receipt, ..known(1) },
        Report { found_when: on_receipt, ..known(7) },
    ];
    let before = live.analysis().recurrences[0].risk.clone();
    for (n, report) in [0, 1, 7].into_iter().zip(&judged) {
        let mut builder = FieldBuilder::resume(live.field().clone());
        builder.replace_report(ReportId::from_index(n), report, false).expect("known names");
        live.take_in(builder.build(), &[ReportId::from_index(n)]);
    }
    let anew = study(live.field());
    let (live, anew) = (&live.analysis().recurrences[0], &anew.analysis().recurrences[0]);
    assert_eq!((&live.risk, live.harmed_in_service), (&anew.risk, 3));
    assert_ne!(live.risk, before);
}

/// 1,000 items since 2016, and the first of 40 reports in 2024: of 10,000 item-years 8,000 have none on record.
#[test]
fn years_without_any_report_are_told_beside_the_rates() {
    let mut b = small(&["L1"]);
    b.movement(&movement("2016-01-01", K::Issue, "L1", "A", 1000)).expect("known");
    for n in 0..40 {
        let month = date("2024-01-01") + chrono::Months::new(n % 24);
        let harm = (n == 0).then_some(Harm::Injury);
        let found = Report { found_on: month, received_on: month, ..split(&format!("S{n}"), harm, None) };
        b.report(&found).expect("known names");
    }
    let analysis = analyse(&b.build(), date("2026-01-01"));
    let says = "begin on 2024-01-01, when 8000 of 10001 item-years had passed";
    assert!(analysis.warnings.iter().any(|warning| warning.contains(says)), "{:?}", analysis.warnings);
    // By hand: 1 - exp(-0.02 x 5 x share) over the years with reports, a fifth of that rate over all; one of 40 with harm has an
    // upper limit of 0.13, so that B (above 0.01; MIL-STD-882E, Table A-II) becomes C over all.
    let risk = analysis.recurrences[0].risk.as_ref().expect("rated");
    assert_eq!(risk.probability, Level::C, "{risk:?}");
    let says = "ZIPPER ZIP-1: its risk over the service since reports begin is ";
    assert!(analysis.warnings.iter().any(|warning| warning.starts_with(says)), "{:?}", analysis.warnings);
}
