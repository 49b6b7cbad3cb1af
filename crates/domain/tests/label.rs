//! Labels as units write them, and the lots they mean.

use crate::common;
use crate::common::{builder, lot, lot_id, movement, report, small, unit};
use domain::field::{Field, ReportId};
use domain::label::{Labels, Resolution};
use domain::lot::Lot;
use domain::movement::MovementKind;
use domain::report::{LotKnown, Report};
use domain::serial::Serial;
use domain::unit::UnitKind;

/// Lots at units: HK-2041, HK-2042 and HK-3077 at A, MX40771 at B.
fn field_with(reports: &[Report]) -> Field {
    let mut b = small(&["HK-2041", "HK-2042", "HK-3077", "MX40771"]);
    for (lot_no, unit) in [("HK-2041", "A"), ("HK-2042", "A"), ("HK-3077", "A"), ("MX40771", "B")] {
        b.movement(&movement("2024-01-01", MovementKind::Issue, lot_no, unit, 10)).expect("known names");
    }
    b.serial(&Serial { serial: "S-1".into(), lot_no: "HK-2042".into(), unit: None, from: None, to: None })
        .expect("a known lot");
    for r in reports {
        b.report(r).expect("known names");
    }
    b.build()
}

fn resolve(report: &Report) -> (Option<String>, Resolution) {
    let field = field_with(std::slice::from_ref(report));
    let labels = Labels::new(&field, common::day("2025-01-01"));
    let one = labels.resolve_all(&field)[0];
    assert_eq!(one, labels.resolve(&field, &field.reports[<ReportId as domain::field::Id>::from_index(0)]));
    (one.lot.map(|lot| field.lots[lot].lot_no.to_string()), one.how)
}

fn at_a(text: &str) -> (Option<String>, Resolution) {
    resolve(&report("R1", "2024-06-01", "A", "PACK", Some(text)))
}

#[test]
fn a_number_as_marked_is_exact() {
    assert_eq!(at_a("HK-3077"), (Some("HK-3077".into()), Resolution::Exact));
}

#[test]
fn case_separators_and_look_alikes_are_read_through() {
    assert_eq!(at_a("hk 3o77"), (Some("HK-3077".into()), Resolution::LookAlike));
}

#[test]
fn one_wrong_character_finds_the_only_near_lot_of_the_unit() {
    assert_eq!(at_a("HK-3977"), (Some("HK-3077".into()), Resolution::Nearest));
    assert_eq!(at_a("HX-3977").1, Resolution::Unresolved, "two wrong of six");
    assert_eq!(at_a("MX40772").1, Resolution::Unresolved, "not issued to this unit");
}

#[test]
fn a_neighbour_in_a_running_number_is_no_misread() {
    assert_eq!(at_a("HK-3078").1, Resolution::Unresolved);
    assert_eq!(at_a("HK-204").1, Resolution::Unresolved, "two lots are as near");
}

#[test]
fn an_unresolved_label_names_its_candidates() {
    let field = field_with(&[report("R1", "2024-06-01", "A", "PACK", Some("HK-204"))]);
    let labels = Labels::new(&field, common::day("2025-01-01"));
    let candidates = labels.candidates(&field, &field.reports[domain::field::Id::from_index(0)]);
    assert_eq!(candidates, [lot_id(&field, "HK-2041"), lot_id(&field, "HK-2042")]);
}

#[test]
fn a_serial_number_knows_its_lot() {
    let with_serial = Report { serial: Some("S-1".into()), ..report("R1", "2024-06-01", "A", "PACK", None) };
    assert_eq!(resolve(&with_serial), (Some("HK-2042".into()), Resolution::Serial));
    assert_eq!(resolve(&report("R1", "2024-06-01", "A", "PACK", None)).1, Resolution::NoLabel);
}

/// Number 001 is of a carrier of lot P1. Reports of a harness that name it are of the harness' lots, as far as their label tells.
#[test]
fn a_number_of_another_item_leaves_it_to_the_label() {
    let mut b = small(&["P1"]);
    b.part(&common::part("HARN", "A", "ITEM")).expect("new part");
    b.lot(&lot("H1", "HARN", "A")).expect("new lot");
    let of_p1 = Serial {
        serial: "001".into(),
        lot_no: "P1".into(),
        unit: Some("A".into()),
        from: Some(common::date("2023-01-01")),
        to: None,
    };
    b.serial(&of_p1).expect("known names");
    let cases = [("HARN", Some("h-1")), ("HARN", None), ("HARN", Some("H1")), ("PACK", None)];
    for (at, (item, label)) in cases.into_iter().enumerate() {
        let told = report(&format!("R{at}"), "2024-01-05", "B", item, label);
        b.report(&Report { serial: Some("001".into()), ..told }).expect("known names");
    }
    let field = b.build();
    let resolved = Labels::new(&field, common::day("2025-01-01")).resolve_all(&field);
    let found: Vec<_> =
        resolved.iter().map(|one| (one.lot.map(|lot| &*field.lots[lot].lot_no), one.how)).collect();
    assert_eq!(
        found,
        [
            (Some("H1"), Resolution::LookAlike),
            (None, Resolution::NoLabel),
            (Some("H1"), Resolution::Exact),
            (Some("P1"), Resolution::Serial),
        ]
    );
}

#[test]
fn a_persons_choice_overrules_the_label() {
    let mut b = small(&["L1"]);
    b.part(&common::part("CASE", "A", "ITEM")).expect("new part");
    for (lot_no, part_no, maker) in [("L2", "PACK", "Fell & Sons"), ("C1", "CASE", "Skerry Works")] {
        b.lot(&Lot { maker: Some(maker.into()), ..lot(lot_no, part_no, "A") }).expect("new lot");
    }
    // What was sent beside the label would lead elsewhere: it could not be read, and another maker was named.
    let on = |reference: &str, lot_no: &str| Report {
        lot_known: Some(LotKnown::Unreadable),
        maker: Some("Skerry Works".into()),
        ..report(reference, "2024-06-01", "A", "PACK", Some(lot_no))
    };
    b.report(&on("R1", "L2")).expect("known names");
    b.handled_report(&on("R2", "L2"), true).expect("known names");
    b.handled_report(&on("R3", "C1"), true).expect("known names");
    let field = b.build();
    let found = Labels::new(&field, common::day("2025-01-01")).resolve_all(&field);
    assert_eq!(found[0].lot, None);
    assert_eq!((found[1].lot, found[1].how), (Some(lot_id(&field, "L2")), Resolution::Chosen));
    assert_eq!(found[2].lot, None, "a lot of another item");
}

#[test]
fn a_number_two_makers_use_needs_its_maker() {
    let mut b = builder();
    b.unit(&unit("A", UnitKind::Wearing)).expect("new");
    b.part(&common::part("PACK", "A", "ITEM")).expect("new");
    for maker in ["Fell & Sons", "Skerry Works"] {
        b.lot(&Lot { maker: Some(maker.into()), ..lot("14", "PACK", "A") }).expect("new");
    }
    let named =
        Report { maker: Some("Skerry Works".into()), ..report("R2", "2024-06-01", "A", "PACK", Some("14")) };
    b.report(&report("R1", "2024-06-01", "A", "PACK", Some("14"))).expect("known names");
    b.report(&named).expect("known names");
    let field = b.build();
    let resolved = Labels::new(&field, common::day("2025-01-01")).resolve_all(&field);
    assert_eq!(resolved[0].how, Resolution::Unresolved);
    assert_eq!(resolved[1].how, Resolution::Exact);
    let maker = field.lots[resolved[1].lot.expect("resolved")].maker.expect("has a maker");
    assert_eq!(&field.makers[maker], "Skerry Works");
}

#[test]
fn contract_and_month_of_make_tell_apart_what_the_number_does_not() {
    let mut b = builder();
    b.unit(&unit("A", UnitKind::Wearing)).expect("new");
    b.part(&common::part("PACK", "A", "ITEM")).expect("new");
    for (maker, contract, made_on) in
        [("Fell & Sons", "K-1", "2023-02-09"), ("Skerry Works", "K-2", "2023-05-20")]
    {
        let made = Lot {
            maker: Some(maker.into()),
            contract_no: Some(contract.into()),
            made_on: Some(common::date(made_on)),
            ..lot("14", "PACK", "A")
        };
        b.lot(&made).expect("new");
    }
    let plain = |reference| report(reference, "2024-06-01", "A", "PACK", Some("14"));
    let by_contract = Report { contract_no: Some("K-2".into()), ..plain("R1") };
    let by_month = Report { made_month: Some(common::date("2023-02-01")), ..plain("R2") };
    let by_neither = Report { contract_no: Some("K-9".into()), ..plain("R3") };
    for report in [by_contract, by_month, by_neither] {
        b.report(&report).expect("known names");
    }
    let field = b.build();
    let resolved = Labels::new(&field, common::day("2025-01-01")).resolve_all(&field);
    let maker = |at: usize| {
        let lot = resolved[at].lot?;
        field.lots[lot].maker.map(|maker| field.makers[maker].to_owned())
    };
    assert_eq!((maker(0).as_deref(), resolved[0].how), (Some("Skerry Works"), Resolution::Exact));
    assert_eq!((maker(1).as_deref(), resolved[1].how), (Some("Fell & Sons"), Resolution::Exact));
    assert_eq!(resolved[2].how, Resolution::Unresolved);
}

/// The books have number 14 of one maker alone. A label that names another is not of that lot where the other has lots of its
/// own; a name that nobody knows may be a spelling of it.
#[test]
fn the_only_lot_of_a_number_is_not_that_of_another_maker() {
    let mut b = builder();
    b.unit(&unit("A", UnitKind::Wearing)).expect("new");
    b.part(&common::part("PACK", "A", "ITEM")).expect("new");
    for (maker, lot_no) in [("Fell & Sons", "14"), ("Skerry Works", "99")] {
        b.lot(&Lot { maker: Some(maker.into()), ..lot(lot_no, "PACK", "A") }).expect("new");
    }
    let by = |maker: &str| Report {
        maker: Some(maker.into()),
        ..report(maker, "2024-06-01", "A", "PACK", Some("14"))
    };
    for maker in ["Fell & Sons", "Skerry Works", "Fell and Sons"] {
        b.report(&by(maker)).expect("known names");
    }
    let field = b.build();
    let resolved = Labels::new(&field, common::day("2025-01-01")).resolve_all(&field);
    let how: Vec<Resolution> = resolved.iter().map(|one| one.how).collect();
    assert_eq!(how, [Resolution::Exact, Resolution::Unresolved, Resolution::LookAlike]);
}
