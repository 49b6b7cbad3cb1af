//! The risk of a recurrence, and what is said of the time before reports began, against small books worked by hand.

use crate::common::{date, movement, report, small};
use domain::analysis::analyse;
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

/// 1,000 items since 2016, and the first of 40 reports in 2024: of 10,000 item-years 8,000 have none on record.
#[test]
fn years_without_any_report_are_told_beside_the_rates() {
    let mut b = small(&["L1"]);
    b.movement(&movement("2016-01-01", K::Issue, "L1", "A", 1000)).expect("known");
    for n in 0..40 {
        let month = date("2024-01-01") + chrono::Months::new(n % 24);
        let found = Report { found_on: month, received_on: month, ..split(&format!("S{n}"), None, None) };
        b.report(&found).expect("known names");
    }
    let analysis = analyse(&b.build(), date("2026-01-01"));
    let says = "found on 2024-01-01, when 8000 of 10001 item-years had passed";
    assert!(analysis.warnings.iter().any(|warning| warning.contains(says)), "{:?}", analysis.warnings);
}
