//! A pack as one value: staged, read back and compared whole; movements and reports to put in it.

use domain::bench_test::BenchTest;
use domain::catalogue::Mode;
use domain::change::Change;
use domain::demand::Demand;
use domain::effectivity::Effectivity;
use domain::event::Event;
use domain::fit::FitRange;
use domain::inspection::Inspection;
use domain::lot::Lot;
use domain::lot_use::LotUse;
use domain::movement::{Movement, MovementKind};
use domain::part::PartRevision;
use domain::person::Person;
use domain::report::{Altered, FoundWhen, Harm, ItemFate, LotKnown, Report};
use domain::requirement::Requirement;
use domain::serial::Serial;
use domain::size_share::SizeShare;
use domain::structure::Component;
use domain::unit::Unit;
use domain::use_pattern::UsePattern;
use domain::weighing::Weighing;
use store::{Books, Import, Result, StoreError};

use crate::samples::day;

/// Every noun of a pack.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Pack {
    pub(crate) modes: Vec<Mode>,
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
        let mut new = import.add_modes(&self.modes).await?;
        new += import.add_units(&self.units).await?;
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
            modes: books.catalogue().await.expect("catalogue").added().cloned().collect(),
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
    Report { received_on: day(4, 2), ..Report::bare(report_ref, day(4, 1), "COVE-2", "RC-100") }
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
