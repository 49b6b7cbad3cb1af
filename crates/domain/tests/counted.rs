//! What is counted of the reports of a recurrence, by hand.

use crate::common::{date, movement, report, small};
use domain::analysis::analyse;
use domain::field::{Day, FieldBuilder};
use domain::movement::MovementKind as K;
use domain::report::{Harm, Report};
use domain::use_pattern::UsePattern;

fn split(n: usize) -> Report {
    Report {
        part_no: Some("ZIPPER".into()),
        mode: Some("ZIP-1".into()),
        ..report(&format!("R-{n}"), "2021-02-01", "A", "PACK", Some("L"))
    }
}

fn issued(quantity: u32) -> FieldBuilder {
    let mut b = small(&["L"]);
    b.movement(&movement("2020-01-01", K::Issue, "L", "A", quantity)).expect("known names");
    b
}

/// Five reports of a thousand million items each: more than 32 bits hold.
#[test]
fn items_told_of_are_added_up_however_many() {
    let mut b = issued(1_000_000_000);
    (0..5).for_each(|n| b.report(&Report { quantity: 1_000_000_000, ..split(n) }).expect("known names"));
    assert_eq!(analyse(&b.build(), date("2022-01-01")).recurrences[0].items, 5_000_000_000);
}

/// The rule of a recurrence: two reports, or one with harm. The books list the reports in another order than they came.
#[test]
fn a_recurrence_began_with_its_second_report_or_its_first_of_harm() {
    let began = |reports: &[(&str, Harm)]| {
        let mut b = issued(100);
        for (n, &(received_on, harm)) in reports.iter().enumerate() {
            let report = Report { received_on: date(received_on), harm: Some(harm), ..split(n) };
            b.report(&report).expect("known names");
        }
        analyse(&b.build(), date("2022-01-01")).recurrences[0].began_on().map(Day::date)
    };
    let plain = [("2021-06-01", Harm::None), ("2021-03-01", Harm::None), ("2021-05-01", Harm::None)];
    assert_eq!(began(&plain), Some(date("2021-05-01")));
    assert_eq!(began(&[plain[0], ("2021-03-01", Harm::NearMiss), plain[2]]), Some(date("2021-03-01")));
    assert_eq!(began(&[("2021-06-01", Harm::Injury), plain[1], plain[2]]), Some(date("2021-05-01")));
    assert_eq!(began(&[("2021-06-01", Harm::Injury)]), Some(date("2021-06-01")));
}

/// Two reports unasked and eight that a notice called for, at a unit whose use is all on record: both rates count ten.
#[test]
fn the_rate_by_use_is_of_the_same_reports_as_the_plain_rate() {
    let mut b = issued(100);
    b.use_pattern(&UsePattern {
        unit: "A".into(),
        from: date("2020-01-01"),
        to: None,
        activity: None,
        wear_hours_per_item_month: 10.0,
        basis: None,
    })
    .expect("known names");
    for n in 0..10 {
        b.report(&Report { prompted_by: (n > 1).then(|| "N-1".into()), ..split(n) }).expect("known names");
    }
    let analysis = analyse(&b.build(), date("2022-01-01"));
    let rate = analysis.recurrences[0].rate.expect("exposure");
    let wear = analysis.recurrences[0].wear.as_ref().expect("use is on record");
    assert_eq!((rate.occasions, wear.rate.occasions, wear.units[0].by_calendar.occasions), (10, 10, 10));
    assert!((wear.units[0].by_calendar.estimate / rate.estimate - 1.0).abs() < 1e-9);
}
