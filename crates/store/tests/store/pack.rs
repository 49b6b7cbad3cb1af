//! An invented pack with every noun in it, each field filled in one row and empty in another where it may be.

use domain::bench_test::{BenchTest, SpecimenSource, TestOutcome, TestPurpose};
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
use domain::report::{Altered, FoundWhen, Harm, ItemFate, LotKnown, Report};
use domain::requirement::{LimitKind, Measure, Requirement};
use domain::serial::Serial;
use domain::size_share::SizeShare;
use domain::structure::Component;
use domain::unit::{Unit, UnitKind};
use domain::use_pattern::{UseBasis, UsePattern};
use domain::weighing::Weighing;
use store::{Books, Import, Result, StoreError};

use crate::samples::{day, lot, part, unit};

/// Every noun of a pack.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Pack {
    pub(crate) units: Vec<Unit>,
    pub(crate) use_patterns: Vec<UsePattern>,
    pub(crate) parts: Vec<PartRevision>,
    pub(crate) size_shares: Vec<SizeShare>,
    pub(crate) components: Vec<Component>,
    pub(crate) weighings: Vec<Weighing>,
    pub(crate) lots: Vec<Lot>,
    pub(crate) lot_uses: Vec<LotUse>,
    pub(crate) serials: Vec<Serial>,
    pub(crate) movements: Vec<Movement>,
    pub(crate) inspections: Vec<Inspection>,
    pub(crate) events: Vec<Event>,
    pub(crate) demand: Vec<Demand>,
    pub(crate) reports: Vec<Report>,
    pub(crate) bench_tests: Vec<BenchTest>,
    pub(crate) requirements: Vec<Requirement>,
    pub(crate) fit_ranges: Vec<FitRange>,
    pub(crate) people: Vec<Person>,
    pub(crate) changes: Vec<Change>,
    pub(crate) effectivity: Vec<Effectivity>,
}

impl Pack {
    /// Stages everything and says how many rows were new.
    pub(crate) async fn stage(&self, import: &mut Import) -> Result<u64> {
        let mut new = import.add_units(&self.units).await?;
        new += import.add_use_patterns(&self.use_patterns).await?;
        new += import.add_parts(&self.parts).await?;
        new += import.add_size_shares(&self.size_shares).await?;
        new += import.add_components(&self.components).await?;
        new += import.add_weighings(&self.weighings).await?;
        new += import.add_lots(&self.lots).await?;
        new += import.add_lot_uses(&self.lot_uses).await?;
        new += import.add_serials(&self.serials).await?;
        new += import.add_movements(&self.movements).await?;
        new += import.add_inspections(&self.inspections).await?;
        new += import.add_events(&self.events).await?;
        new += import.add_demand(&self.demand).await?;
        new += import.add_reports(&self.reports).await?;
        new += import.add_bench_tests(&self.bench_tests).await?;
        new += import.add_requirements(&self.requirements).await?;
        new += import.add_fit_ranges(&self.fit_ranges).await?;
        new += import.add_people(&self.people).await?;
        new += import.add_changes(&self.changes).await?;
        new += import.add_effectivity(&self.effectivity).await?;
        Ok(new)
    }

    /// Reads everything back.
    pub(crate) async fn read(books: &Books) -> Self {
        let mut reports = Vec::new();
        let keep = |report| {
            reports.push(report);
            Ok::<(), StoreError>(())
        };
        books.for_each_report(true, keep).await.expect("reports");
        Self {
            units: books.units().await.expect("units"),
            use_patterns: books.use_patterns().await.expect("use patterns"),
            parts: books.parts().await.expect("parts"),
            size_shares: books.size_shares().await.expect("size shares"),
            components: books.components().await.expect("components"),
            weighings: books.weighings().await.expect("weighings"),
            lots: books.lots().await.expect("lots"),
            lot_uses: books.lot_uses().await.expect("lot uses"),
            serials: books.serials().await.expect("serials"),
            movements: books.movements().await.expect("movements"),
            inspections: books.inspections().await.expect("inspections"),
            events: books.events().await.expect("events"),
            demand: books.demand().await.expect("demand"),
            reports,
            bench_tests: books.bench_tests().await.expect("bench tests"),
            requirements: books.requirements().await.expect("requirements"),
            fit_ranges: books.fit_ranges().await.expect("fit ranges"),
            people: books.people().await.expect("people"),
            changes: books.changes().await.expect("changes"),
            effectivity: books.effectivity().await.expect("effectivity"),
        }
    }
}

/// A movement of the lot `L-1` at `COVE-2`.
pub(crate) fn movement(kind: MovementKind, quantity: u32) -> Movement {
    Movement {
        moved_on: day(2, 1),
        kind,
        lot_no: Some("L-1".into()),
        part_no: None,
        size: None,
        unit: "COVE-2".into(),
        quantity,
        to_unit: None,
        to_lot_no: None,
        condition: None,
        reason: None,
        row_ref: None,
    }
}

/// A report of `COVE-2` with nothing but what it must have.
pub(crate) fn bare_report(report_ref: &str) -> Report {
    Report {
        report_ref: report_ref.into(),
        found_on: day(4, 1),
        received_on: day(4, 2),
        unit: "COVE-2".into(),
        item_part_no: "RC-100".into(),
        size: None,
        serial: None,
        lot_text: None,
        lot_known: None,
        maker: None,
        contract_no: None,
        made_month: None,
        part_no: None,
        mode: None,
        narrative: None,
        activity: None,
        found_when: None,
        worn_weeks: None,
        altered: None,
        prompted_by: None,
        harm: None,
        item_fate: None,
        relevant: None,
        chargeable: None,
        quantity: 1,
    }
}

/// A report with every field.
pub(crate) fn full_report(report_ref: &str) -> Report {
    Report {
        size: Some("M".into()),
        serial: Some("S-7".into()),
        lot_text: Some("L 1".into()),
        lot_known: Some(LotKnown::Read),
        maker: Some("Oreval Sewing".into()),
        contract_no: Some("C-9".into()),
        made_month: Some(day(1, 1)),
        part_no: Some("SF-20".into()),
        mode: Some("ZIP-1".into()),
        narrative: Some("Splits, \"behind\" the slider;\nthen näht it'll go on.".into()),
        activity: Some("cliff work".into()),
        found_when: Some(FoundWhen::InUse),
        worn_weeks: Some(12.3),
        altered: Some(Altered::No),
        prompted_by: Some("N-1".into()),
        harm: Some(Harm::NearMiss),
        item_fate: Some(ItemFate::Exhibit),
        relevant: Some(true),
        chargeable: Some(false),
        quantity: 3,
        ..bare_report(report_ref)
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
