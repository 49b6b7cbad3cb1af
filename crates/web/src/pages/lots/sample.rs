//! The sample field with a lineage: tape, fasteners of it, carriers of these, and items of no known lot.

use domain::analysis::{Analysis, analyse};
use domain::change::{Change, ChangeState};
use domain::field::{Field, FieldBuilder, Found, LotId};
use domain::lot::{Lot, LotPurpose};
use domain::lot_use::LotUse;
use domain::movement::{Movement, MovementKind};
use domain::part::PartRevision;
use domain::structure::Component;
use domain::unit::{Unit, UnitKind};
use domain::words::Problem;

use crate::pages::recurrences::sample as carriers;
pub(super) use crate::pages::recurrences::sample::engineer;

/// A lot of tape that went into fasteners and carriers.
pub(super) const TAPE: &str = "NT25-0143";
/// A lot of carriers made from fasteners of two lots.
pub(super) const ITEM_LOT: &str = "TB-0419";
/// A lot that nothing was made from.
pub(super) const LONE: &str = "=1+1";

/// The field and what it says.
pub(crate) fn field() -> (Field, Analysis) {
    // What is added names what is there, so that none is refused; tests see the lots.
    let field = builder().map(FieldBuilder::build).unwrap_or_default();
    let as_of = carriers::field().1.as_of;
    let analysis = analyse(&field, as_of);
    (field, analysis)
}

/// The lot of tape.
pub(crate) fn tape(field: &Field) -> Option<LotId> {
    lot(field, TAPE)
}

/// The lot of a number.
pub(super) fn lot(field: &Field, lot_no: &str) -> Option<LotId> {
    match field.lot_keys.find(lot_no, None) {
        Found::One(lot) => Some(lot),
        Found::Several | Found::Nothing => None,
    }
}

/// The same with the tape in so many lots of fasteners more.
#[cfg(test)]
pub(super) fn wide(more: u32) -> FieldBuilder {
    let mut b = FieldBuilder::new(domain::catalogue::Catalogue::shipped());
    for (part_no, name) in [("RC-131", "Front slide fastener"), ("RC-132", "Coil tape")] {
        b.part(&part(part_no, "A", name, "ZIP")).unwrap();
    }
    b.lot(&made(TAPE, "RC-132", "A", 5000)).unwrap();
    for n in 0..more {
        let lot_no = format!("TC25-{n:04}");
        b.lot(&made(&lot_no, "RC-131", "A", 100 + n)).unwrap();
        b.lot_use(&uses(&lot_no, TAPE, Some(f64::from(100 + n)))).unwrap();
    }
    b
}

fn builder() -> Result<FieldBuilder, Problem> {
    let mut b = carriers::builder()?;
    for (unit, name, kind) in
        [("STORE", None, UnitKind::Store), ("RIDGE-1", Some("Ridge team"), UnitKind::Wearing)]
    {
        b.unit(&Unit {
            unit: unit.into(),
            name: name.map(str::to_owned),
            kind,
            parent_unit: None,
            contact_email: None,
        })?;
    }
    b.part(&part("RC-131", "B", "Front slide fastener", "ZIP"))?;
    b.part(&part("RC-132", "A", "Coil tape", "ZIP"))?;
    b.component(&Component {
        parent_part_no: "RC-131".into(),
        parent_revision: "A".into(),
        child_part_no: "RC-132".into(),
        child_revision: "A".into(),
        quantity: 1.0,
        position: None,
        size: None,
        configuration: None,
    })?;
    for lot in [
        made(TAPE, "RC-132", "A", 600),
        made("TC25-0007", "RC-131", "A", 480),
        made("TC25-0008", "RC-131", "B", 300),
        Lot { quantity: None, maker: None, made_on: None, ..made(LONE, "RC-132", "A", 1) },
    ] {
        b.lot(&lot)?;
    }
    for lot_use in [
        uses("TC25-0007", TAPE, Some(480.0)),
        uses("TB-0418", "TC25-0007", Some(300.0)),
        uses(ITEM_LOT, "TC25-0007", Some(150.0)),
        uses(ITEM_LOT, "TC25-0008", Some(150.0)),
        uses("TB-0420", "TC25-0007", None),
        uses("TB-0420", "TC25-0008", None),
    ] {
        b.lot_use(&lot_use)?;
    }
    b.change(&Change {
        change_no: "2025-003".into(),
        title: "Coated slider".into(),
        part_no: "RC-131".into(),
        from_revision: "A".into(),
        to_revision: "B".into(),
        modes: Vec::new(),
        state: Some(ChangeState::CutIn),
        cut_in_lot: Some("TC25-0008".into()),
        cut_in_on: None,
    })?;
    let first = domain::field::Day::from(carriers::field().1.as_of);
    for (days_before, kind, lot_no, to_unit, quantity) in [
        (90, MovementKind::Transfer, Some("TB-0418"), Some("RIDGE-1"), 40),
        (60, MovementKind::Return, Some(ITEM_LOT), None, 30),
        (50, MovementKind::Transfer, Some("TB-0418"), Some("STORE"), 12),
        (30, MovementKind::Issue, None, None, 9),
        (20, MovementKind::Convert, Some(ITEM_LOT), None, 5),
    ] {
        b.movement(&Movement {
            moved_on: domain::field::Day(first.0 - days_before).date(),
            kind,
            lot_no: lot_no.map(str::to_owned),
            part_no: lot_no.is_none().then(|| "RC-100".into()),
            size: None,
            unit: "COVE-2".into(),
            quantity,
            to_unit: to_unit.map(str::to_owned),
            to_lot_no: (kind == MovementKind::Convert).then(|| "TB-0420".into()),
            condition: None,
            reason: None,
            row_ref: None,
        })?;
    }
    Ok(b)
}

fn part(part_no: &str, revision: &str, name: &str, kind: &str) -> PartRevision {
    PartRevision {
        part_no: part_no.into(),
        revision: revision.into(),
        name: name.into(),
        kind: kind.into(),
        released_on: None,
        replaces_revision: None,
        change_no: None,
        life_years: None,
    }
}

fn made(lot_no: &str, part_no: &str, revision: &str, quantity: u32) -> Lot {
    Lot {
        lot_no: lot_no.into(),
        part_no: part_no.into(),
        revision: revision.into(),
        size: None,
        made_on: chrono::NaiveDate::from_ymd_opt(2024, 11, 4),
        quantity: Some(quantity),
        maker: Some("Tarnside Closures".into()),
        contract_no: None,
        stock_no: None,
        purpose: LotPurpose::Production,
    }
}

fn uses(lot_no: &str, used_lot_no: &str, quantity: Option<f64>) -> LotUse {
    LotUse { lot_no: lot_no.into(), used_lot_no: used_lot_no.into(), quantity }
}

/// A lot of carriers of which some became another lot.
#[cfg(test)]
pub(super) const BEFORE: &str = "TB-1";
/// What they became, with new fasteners.
#[cfg(test)]
pub(super) const AFTER: &str = "TB-2";
/// A lot of carriers that all became another.
#[cfg(test)]
pub(super) const WHOLLY: &str = "TB-3";

/// Carriers at two units after a retrofit: 25 of a hundred of one lot became another lot, and all of a second one.
#[cfg(test)]
pub(crate) fn converted() -> (Field, Analysis) {
    let mut b = FieldBuilder::new(domain::catalogue::Catalogue::shipped());
    for unit in ["COVE-2", "RIDGE-1"] {
        let (unit, kind) = (unit.into(), UnitKind::Wearing);
        b.unit(&Unit { unit, name: None, kind, parent_unit: None, contact_email: None }).unwrap();
    }
    for revision in ["A", "B"] {
        b.part(&part("RC-100", revision, "Rescue carrier", "ITEM")).unwrap();
        b.part(&part("RC-131", revision, "Front slide fastener", "ZIP")).unwrap();
        b.component(&Component {
            parent_part_no: "RC-100".into(),
            parent_revision: revision.into(),
            child_part_no: "RC-131".into(),
            child_revision: revision.into(),
            quantity: 1.0,
            position: None,
            size: None,
            configuration: None,
        })
        .unwrap();
    }
    b.lot(&made("TC-2", "RC-131", "B", 25)).unwrap();
    for (lot_no, revision, quantity) in
        [(BEFORE, "A", Some(100)), (AFTER, "B", None), (WHOLLY, "A", Some(100)), ("TB-4", "B", None)]
    {
        b.lot(&Lot { quantity, ..made(lot_no, "RC-100", revision, 100) }).unwrap();
    }
    b.lot_use(&uses(AFTER, "TC-2", Some(25.0))).unwrap();
    for (month, lot_no, unit, quantity, to_lot_no) in [
        (2, BEFORE, "COVE-2", 60, None),
        (2, BEFORE, "RIDGE-1", 40, None),
        (2, WHOLLY, "COVE-2", 60, None),
        (2, WHOLLY, "RIDGE-1", 40, None),
        (6, BEFORE, "RIDGE-1", 25, Some(AFTER)),
        (6, WHOLLY, "COVE-2", 60, Some("TB-4")),
        (6, WHOLLY, "RIDGE-1", 40, Some("TB-4")),
    ] {
        b.movement(&Movement {
            moved_on: chrono::NaiveDate::from_ymd_opt(2025, month, 3).unwrap(),
            kind: if to_lot_no.is_some() { MovementKind::Convert } else { MovementKind::Issue },
            lot_no: Some(lot_no.into()),
            part_no: None,
            size: None,
            unit: unit.into(),
            quantity,
            to_unit: None,
            to_lot_no: to_lot_no.map(str::to_owned),
            condition: None,
            reason: None,
            row_ref: None,
        })
        .unwrap();
    }
    let field = b.build();
    let analysis = analyse(&field, chrono::NaiveDate::from_ymd_opt(2025, 12, 1).unwrap());
    (field, analysis)
}
