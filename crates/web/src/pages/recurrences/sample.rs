//! A small invented field for the samples and tests of pages that show the field.

use chrono::{DateTime, Days, Months, NaiveDate};
use domain::analysis::{Analysis, analyse};
use domain::catalogue::Catalogue;
use domain::demand::Demand;
use domain::field::{Field, FieldBuilder};
use domain::inspection::Inspection;
use domain::lot::{Lot, LotPurpose};
use domain::movement::{Condition, Movement, MovementKind};
use domain::part::PartRevision;
use domain::permission::{Actor, Role};
use domain::recurrence::RecurrenceState;
use domain::report::{FoundWhen, Harm, LotKnown, Report};
use domain::risk::{Level, Severity};
use domain::signal::{KeptSignal, RaisedSignal, Series};
use domain::structure::Component;
use domain::unit::{Unit, UnitKind};
use domain::use_pattern::{UseBasis, UsePattern};
use domain::words::Problem;
use store::{Judgement, RecurrenceRecord};

const ITEM: &str = "RC-100";
const PART: &str = "RC-131";
const MODE: &str = "ZIP-1";
const UNIT: &str = "COVE-2";

fn start() -> NaiveDate {
    NaiveDate::from_ymd_opt(2025, 1, 6).unwrap_or_default()
}

/// An engineer who may do everything these pages offer.
pub fn engineer() -> Actor {
    Actor::Person { id: 1, name: "Oda Fell".into(), role: Role::Engineer, unit: None }
}

/// A field of one item in three lots, one of which has most of the reports.
pub fn field() -> (Field, Analysis) {
    let built = builder();
    // The nouns below name each other and nothing else, so none is refused; a test sees the recurrence.
    let field = built.map(FieldBuilder::build).unwrap_or_default();
    let analysis = analyse(&field, start() + Days::new(420));
    (field, analysis)
}

/// The same field before it is built, for pages that add to it.
pub(crate) fn builder() -> Result<FieldBuilder, Problem> {
    fill(FieldBuilder::new(Catalogue::shipped()))
}

/// A signal that is on, raised on a day.
pub(crate) fn signal(raised_on: NaiveDate) -> KeptSignal {
    let of = Series { part_no: PART.into(), mode: MODE.into(), used_lot: None };
    let raised =
        RaisedSignal { of, first_on: raised_on - Days::new(3), weeks: 9, reports: 12, expected: 3.12 };
    KeptSignal { number: 1, raised, raised_on, ended_on: None }
}

/// A field of nothing.
pub fn nothing() -> (Field, Analysis) {
    let field = FieldBuilder::new(Catalogue::shipped()).build();
    let analysis = analyse(&field, start());
    (field, analysis)
}

fn fill(mut b: FieldBuilder) -> Result<FieldBuilder, Problem> {
    b.unit(&Unit {
        unit: UNIT.into(),
        name: Some("Cove boat crew".into()),
        kind: UnitKind::Wearing,
        parent_unit: None,
        contact_email: None,
    })?;
    b.part(&part(ITEM, "Rescue carrier", "ITEM"))?;
    b.part(&part(PART, "Front slide fastener", "ZIP"))?;
    b.component(&Component {
        parent_part_no: ITEM.into(),
        parent_revision: "A".into(),
        child_part_no: PART.into(),
        child_revision: "A".into(),
        quantity: 1.0,
        position: None,
        size: None,
        configuration: None,
    })?;
    for (at, lot_no) in ["TB-0418", "TB-0419", "TB-0420"].into_iter().enumerate() {
        b.lot(&lot(lot_no))?;
        b.movement(&issue(lot_no))?;
        for number in 0..[9, 2, 1][at] {
            b.report(&report(at as u64, number, lot_no))?;
        }
    }
    b.report(&Report { lot_known: Some(LotKnown::Unreadable), lot_text: None, ..report(3, 4, "") })?;
    beside(&mut b)?;
    Ok(b)
}

/// What stands beside the reports: use, an inspection that a notice called for, and spare parts drawn.
fn beside(b: &mut FieldBuilder) -> Result<(), Problem> {
    b.use_pattern(&UsePattern {
        unit: UNIT.into(),
        from: start(),
        to: None,
        activity: None,
        wear_hours_per_item_month: 12.0,
        basis: Some(UseBasis::Estimated),
    })?;
    for (lot_no, found) in [("TB-0418", 6), ("TB-0419", 2)] {
        b.inspection(&Inspection {
            inspected_on: start() + Days::new(400),
            unit: UNIT.into(),
            lot_no: Some(lot_no.into()),
            part_no: PART.into(),
            mode: MODE.into(),
            inspected: 60,
            found,
            notice_no: Some("N-1".into()),
        })?;
    }
    for month in [start(), start() + Months::new(13)] {
        b.demand(&Demand { month, part_no: PART.into(), quantity_drawn: 20 })?;
    }
    Ok(())
}

fn part(part_no: &str, name: &str, kind: &str) -> PartRevision {
    PartRevision {
        part_no: part_no.into(),
        revision: "A".into(),
        name: name.into(),
        kind: kind.into(),
        released_on: None,
        replaces_revision: None,
        change_no: None,
        life_years: Some(5.0),
    }
}

fn lot(lot_no: &str) -> Lot {
    Lot {
        lot_no: lot_no.into(),
        part_no: ITEM.into(),
        revision: "A".into(),
        size: Some("M".into()),
        made_on: Some(start()),
        quantity: Some(300),
        maker: Some("Harbour Loft".into()),
        contract_no: None,
        stock_no: None,
        purpose: LotPurpose::Production,
    }
}

fn issue(lot_no: &str) -> Movement {
    Movement {
        moved_on: start(),
        kind: MovementKind::Issue,
        lot_no: Some(lot_no.into()),
        part_no: None,
        size: None,
        unit: UNIT.into(),
        quantity: 300,
        to_unit: None,
        to_lot_no: None,
        condition: Some(Condition::New),
        reason: None,
        row_ref: None,
    }
}

/// A report of the sample field.
pub(super) fn report(lot_at: u64, number: u64, lot_no: &str) -> Report {
    let found_on = start() + Days::new(40 + 31 * number + 7 * lot_at);
    Report {
        received_on: found_on + Days::new(5),
        lot_text: Some(lot_no.into()),
        lot_known: Some(LotKnown::Read),
        part_no: Some(PART.into()),
        mode: Some(MODE.into()),
        narrative: Some("zipper split <again> on the ladder".into()),
        found_when: Some(FoundWhen::InUse),
        harm: (number == 2).then_some(Harm::NearMiss),
        relevant: Some(true),
        chargeable: Some(true),
        ..Report::bare(format!("2025-{lot_at}{number:02}"), found_on, UNIT, ITEM)
    }
}

/// What an engineer decided about the recurrence of [`field`].
pub fn record() -> RecurrenceRecord {
    RecurrenceRecord {
        sheet_no: "R-2026-001".into(),
        part_no: PART.into(),
        mode: MODE.into(),
        state: RecurrenceState::TakenUp,
        judgement: Some(Judgement {
            severity: Severity::Critical,
            probability: Some(Level::C),
            reason: "The carrier opened on a ladder.".into(),
            by: "Oda Fell".into(),
            at: DateTime::UNIX_EPOCH,
        }),
        owner: Some("Oda Fell".into()),
        owner_id: Some(1),
        cause: Some("Slider worn by salt".into()),
        next_step: Some("Bench test of coated sliders".into()),
        settled: Some(store::KeptSettlement {
            settlement: domain::recurrence::Settlement {
                change_no: "2025-003".into(),
                with_change: 1_200,
                in_service: 1_900,
                stock: "Runs out by 2028.".into(),
                remains: "Two failures a year <on old items>.".into(),
                accepted_by: "Ada Brook, head of equipment".into(),
            },
            by: "Oda Fell".into(),
            at: chrono::DateTime::UNIX_EPOCH,
        }),
    }
}
