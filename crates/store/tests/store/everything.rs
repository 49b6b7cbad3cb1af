//! An invented pack with every noun in it, each field filled in one row and empty in another where it may be.

use domain::bench_test::{BenchTest, SpecimenSource, TestOutcome, TestPurpose};
use domain::catalogue::{DefaultSeverity, Mode};
use domain::change::{Change, ChangeState};
use domain::demand::Demand;
use domain::effectivity::{Effectivity, Stage};
use domain::event::{Event, EventKind};
use domain::fit::FitRange;
use domain::inspection::Inspection;
use domain::lot::Lot;
use domain::lot_use::LotUse;
use domain::movement::{Condition, Movement, MovementKind, ReturnReason};
use domain::part::PartRevision;
use domain::person::Person;
use domain::requirement::{LimitKind, Measure, Requirement};
use domain::serial::Serial;
use domain::size_share::SizeShare;
use domain::structure::Component;
use domain::unit::{Unit, UnitKind};
use domain::use_pattern::{UseBasis, UsePattern};
use domain::weighing::Weighing;

use crate::samples::{day, lot, part, unit};

use crate::pack::{Pack, bare_report, full_report, movement};

fn mode(kind: &str, code: &str, default_severity: DefaultSeverity, field_words: &[&str]) -> Mode {
    Mode {
        kind: kind.into(),
        kind_name: "Ladder".into(),
        code: code.into(),
        name: "Rung lets go".into(),
        mechanism: "worn lashing; \"chafed\"".into(),
        how_found: String::new(),
        usual_fix: String::new(),
        test_methods: String::new(),
        default_severity,
        field_words: field_words.iter().map(|words| (*words).to_owned()).collect(),
    }
}

/// Every noun at least once.
pub(crate) fn everything() -> Pack {
    let test = BenchTest {
        part_no: "SF-20".into(),
        revision: "A".into(),
        lot_no: Some("L-2".into()),
        purpose: Some(TestPurpose::Teardown),
        method: "crosswise pull".into(),
        measure: "breaking strength".into(),
        specimen: "1".into(),
        specimen_source: Some(SpecimenSource::Returned),
        value: 0.1 + 0.2,
        measure_unit: "N".into(),
        outcome: TestOutcome::Failed,
        conditioning: Some("wet".into()),
        limit: Some(400.0),
        limit_source: Some("drawing".into()),
        laboratory: Some("the base".into()),
        tested_on: Some(day(3, 3)),
    };
    let bare_test = BenchTest {
        lot_no: None,
        purpose: None,
        specimen_source: None,
        conditioning: None,
        limit: None,
        limit_source: None,
        laboratory: None,
        tested_on: None,
        ..test.clone()
    };
    let change = Change {
        change_no: "E-1".into(),
        title: "Stronger slider".into(),
        part_no: "SF-20".into(),
        from_revision: "A".into(),
        to_revision: "B".into(),
        modes: vec!["ZIP-1".into(), "ZIP-2".into()],
        state: Some(ChangeState::CutIn),
        cut_in_lot: Some("L-2".into()),
        cut_in_on: Some(day(3, 1)),
    };
    let event = Event {
        happened_on: day(3, 5),
        unit: "COVE-2".into(),
        serial: Some("S-7".into()),
        lot_no: Some("L-1".into()),
        quantity: 1,
        kind: EventKind::PartReplaced,
        part_no: Some("SF-20".into()),
        new_lot_no: Some("L-2".into()),
        outcome: Some("good".into()),
    };
    let requirement = Requirement {
        item_part_no: "RC-100".into(),
        requirement_no: "3.2".into(),
        text: "Not more than 2,950 g".into(),
        measure: Some(Measure::MassG),
        limit_kind: Some(LimitKind::AtMost),
        limit: Some(2950.0),
        configuration: Some("full".into()),
        size: Some("M".into()),
    };
    let component = Component {
        parent_part_no: "RC-100".into(),
        parent_revision: "A".into(),
        child_part_no: "SF-20".into(),
        child_revision: "A".into(),
        quantity: 1.25,
        position: Some("front".into()),
        size: Some("M".into()),
        configuration: Some("full".into()),
    };
    let twin = movement(MovementKind::Issue, 40);
    Pack {
        modes: vec![
            mode("RUNG", "RUNG-1", DefaultSeverity::Safety, &["rung gave way", "rung bent"]),
            mode("RUNG", "RUNG-2", DefaultSeverity::Durability, &[]),
        ],
        units: vec![
            unit("COVE-2"),
            Unit { parent_unit: Some("COVE-2".into()), name: None, contact_email: None, ..unit("COVE-2B") },
            Unit { kind: UnitKind::Depot, ..unit("DEPOT") },
        ],
        use_patterns: vec![
            UsePattern {
                unit: "COVE-2".into(),
                from: day(1, 1),
                to: Some(day(6, 30)),
                activity: Some("cliff work".into()),
                wear_hours_per_item_month: 31.7,
                basis: Some(UseBasis::Measured),
            },
            UsePattern {
                unit: "COVE-2".into(),
                from: day(1, 1),
                to: None,
                activity: None,
                wear_hours_per_item_month: 12.0,
                basis: None,
            },
        ],
        parts: vec![
            part("RC-100", "A", "ITEM"),
            PartRevision { released_on: None, life_years: Some(7.5), ..part("SF-20", "A", "ZIP") },
            PartRevision {
                replaces_revision: Some("A".into()),
                change_no: Some("E-1".into()),
                ..part("SF-20", "B", "ZIP")
            },
        ],
        size_shares: vec![SizeShare { part_no: "RC-100".into(), size: "M".into(), share_per_1000: 333.3 }],
        components: vec![
            component.clone(),
            Component { position: None, size: None, configuration: None, ..component },
        ],
        weighings: [Some("M"), None]
            .map(|size| Weighing {
                part_no: "SF-20".into(),
                revision: "A".into(),
                size: size.map(Into::into),
                specimen: "1".into(),
                mass_g: 41.07,
            })
            .to_vec(),
        lots: vec![
            lot("L-1", Some("Oreval Sewing")),
            Lot { size: None, made_on: None, quantity: None, ..lot("L-1", None) },
            Lot {
                part_no: "SF-20".into(),
                contract_no: Some("C-9".into()),
                stock_no: Some("1".into()),
                ..lot("L-2", None)
            },
        ],
        lot_uses: vec![
            LotUse { lot_no: "L-1".into(), used_lot_no: "L-2".into(), quantity: Some(400.5) },
            LotUse { lot_no: "L-1".into(), used_lot_no: "L-3".into(), quantity: None },
        ],
        serials: vec![
            Serial {
                serial: "S-7".into(),
                lot_no: "L-1".into(),
                unit: Some("COVE-2".into()),
                from: Some(day(2, 1)),
                to: Some(day(3, 1)),
            },
            Serial { serial: "S-7".into(), lot_no: "L-1".into(), unit: None, from: None, to: None },
        ],
        movements: vec![
            twin.clone(),
            twin.clone(),
            Movement { condition: Some(Condition::Used), row_ref: Some("7".into()), ..twin },
            Movement { reason: Some(ReturnReason::Worn), ..movement(MovementKind::Return, 2) },
            Movement { to_unit: Some("DEPOT".into()), ..movement(MovementKind::Transfer, 1) },
            Movement { to_lot_no: Some("L-2".into()), ..movement(MovementKind::Convert, 1) },
            Movement {
                lot_no: None,
                part_no: Some("RC-100".into()),
                size: Some("M".into()),
                ..movement(MovementKind::Count, 0)
            },
        ],
        inspections: [Some("L-1"), None, None]
            .map(|lot_no| Inspection {
                inspected_on: day(3, 4),
                unit: "COVE-2".into(),
                lot_no: lot_no.map(Into::into),
                part_no: "SF-20".into(),
                mode: "ZIP-1".into(),
                inspected: 40,
                found: 3,
                notice_no: lot_no.map(|_| "N-1".into()),
            })
            .to_vec(),
        events: vec![
            event.clone(),
            Event { serial: None, lot_no: None, part_no: None, new_lot_no: None, outcome: None, ..event },
        ],
        demand: vec![Demand { month: day(2, 1), part_no: "SF-20".into(), quantity_drawn: 12 }],
        reports: vec![full_report("R-1"), bare_report("R-2")],
        bench_tests: vec![test, bare_test.clone(), bare_test],
        requirements: vec![
            requirement.clone(),
            Requirement {
                measure: None,
                limit_kind: None,
                limit: None,
                configuration: None,
                size: None,
                ..requirement
            },
        ],
        fit_ranges: vec![FitRange {
            item_part_no: "RC-100".into(),
            size: "M".into(),
            dimension: "chest".into(),
            low_mm: 920.0,
            high_mm: 1010.5,
        }],
        people: vec![
            Person {
                person: "P-1".into(),
                sex: Some("f".into()),
                mass_kg: Some(71.3),
                dimensions_mm: vec![("chest".into(), Some(967.1)), ("torso length".into(), None)],
            },
            Person { person: "P-2".into(), sex: None, mass_kg: None, dimensions_mm: Vec::new() },
        ],
        changes: vec![
            change.clone(),
            Change {
                change_no: "E-2".into(),
                modes: Vec::new(),
                state: None,
                cut_in_lot: None,
                cut_in_on: None,
                ..change
            },
        ],
        effectivity: vec![
            Effectivity {
                change_no: "E-1".into(),
                stage: Stage::Accomplished,
                maker: Some("Oreval Sewing".into()),
                from_lot: Some("L-2".into()),
                to_lot: Some("L-9".into()),
                share_new: 0.4,
                from_date: Some(day(3, 1)),
            },
            Effectivity {
                change_no: "E-1".into(),
                stage: Stage::Proposed,
                maker: None,
                from_lot: None,
                to_lot: None,
                share_new: 1.0,
                from_date: None,
            },
        ],
    }
}
