//! Short ways to write the nouns of a field, for the tests in the library and for those beside it.

use chrono::NaiveDate;
use domain::catalogue::Catalogue;
use domain::change::Change;
use domain::field::FieldBuilder;
use domain::lot::{Lot, LotPurpose};
use domain::movement::{Movement, MovementKind};
use domain::part::PartRevision;
use domain::structure::Component;
use domain::unit::{Unit, UnitKind};

/// A date from its ISO text.
pub(crate) fn date(text: &str) -> NaiveDate {
    text.parse().expect("an ISO date")
}

/// A builder that knows the shipped catalogue.
pub(crate) fn builder() -> FieldBuilder {
    FieldBuilder::new(Catalogue::shipped())
}

/// A unit.
pub(crate) fn unit(code: &str, kind: UnitKind) -> Unit {
    Unit { unit: code.into(), name: None, kind, parent_unit: None, contact_email: None }
}

/// A revision of a part.
pub(crate) fn part(part_no: &str, revision: &str, kind: &str) -> PartRevision {
    PartRevision {
        part_no: part_no.into(),
        revision: revision.into(),
        name: part_no.to_lowercase(),
        kind: kind.into(),
        released_on: None,
        replaces_revision: None,
        change_no: None,
        life_years: None,
    }
}

/// One line of a structure: `parent` and `child` as part and revision.
pub(crate) fn component(parent: (&str, &str), child: (&str, &str), quantity: f64) -> Component {
    Component {
        parent_part_no: parent.0.into(),
        parent_revision: parent.1.into(),
        child_part_no: child.0.into(),
        child_revision: child.1.into(),
        quantity,
        position: None,
        size: None,
        configuration: None,
    }
}

/// A production lot.
pub(crate) fn lot(lot_no: &str, part_no: &str, revision: &str) -> Lot {
    Lot {
        lot_no: lot_no.into(),
        part_no: part_no.into(),
        revision: revision.into(),
        size: None,
        made_on: None,
        quantity: None,
        maker: None,
        contract_no: None,
        stock_no: None,
        purpose: LotPurpose::Production,
    }
}

/// A movement of a known lot.
pub(crate) fn movement(on: &str, kind: MovementKind, lot_no: &str, unit: &str, quantity: u32) -> Movement {
    Movement {
        moved_on: date(on),
        kind,
        lot_no: Some(lot_no.into()),
        part_no: None,
        size: None,
        unit: unit.into(),
        quantity,
        to_unit: None,
        to_lot_no: None,
        condition: None,
        reason: None,
        row_ref: None,
    }
}

/// A change of a part from its revision A to B that stands nowhere yet and names no mode.
pub(crate) fn change(change_no: &str, part_no: &str) -> Change {
    Change {
        change_no: change_no.into(),
        title: "Wider slider".into(),
        part_no: part_no.into(),
        from_revision: "A".into(),
        to_revision: "B".into(),
        modes: Vec::new(),
        state: None,
        cut_in_lot: None,
        cut_in_on: None,
    }
}
