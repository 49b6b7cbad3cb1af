//! Short ways to write the nouns of a field in tests, and a seeded source of draws.

pub(crate) mod looks;
pub(crate) mod world;

use chrono::NaiveDate;
use domain::catalogue::Catalogue;
use domain::change::{Change, ChangeState};
use domain::event::{Event, EventKind};
use domain::field::{Day, Field, FieldBuilder, LotId, UnitId};
use domain::lot::{Lot, LotPurpose};
use domain::movement::{Condition, Movement, MovementKind};
use domain::part::PartRevision;
use domain::report::{FoundWhen, LotKnown, Report};
use domain::structure::Component;
use domain::unit::{Unit, UnitKind};

/// A date from its ISO text.
pub(crate) fn date(text: &str) -> NaiveDate {
    text.parse().expect("an ISO date")
}

/// A day from its ISO text.
pub(crate) fn day(text: &str) -> Day {
    date(text).into()
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

/// An issue of used items.
pub(crate) fn issue_used(on: &str, lot_no: &str, unit: &str, quantity: u32) -> Movement {
    Movement { condition: Some(Condition::Used), ..movement(on, MovementKind::Issue, lot_no, unit, quantity) }
}

/// A sorted report in use with a read label.
pub(crate) fn report(reference: &str, on: &str, unit: &str, item: &str, lot_text: Option<&str>) -> Report {
    Report {
        lot_text: lot_text.map(Into::into),
        lot_known: Some(if lot_text.is_some() { LotKnown::Read } else { LotKnown::Unreadable }),
        found_when: Some(FoundWhen::InUse),
        ..Report::bare(reference, date(on), unit, item)
    }
}

/// Wearing units A and B, a store, an item PACK with a fastener ZIP, and lots of it.
pub(crate) fn small(lots: &[&str]) -> FieldBuilder {
    let mut b = builder();
    for (code, kind) in [("A", UnitKind::Wearing), ("B", UnitKind::Wearing), ("STORE", UnitKind::Store)] {
        b.unit(&unit(code, kind)).expect("new unit");
    }
    b.part(&part("PACK", "A", "ITEM")).expect("new part");
    b.part(&part("ZIPPER", "A", "ZIP")).expect("new part");
    b.component(&component(("PACK", "A"), ("ZIPPER", "A"), 1.0)).expect("known parts");
    for lot_no in lots {
        b.lot(&lot(lot_no, "PACK", "A")).expect("new lot");
    }
    b
}

/// The books of [`small`] with the lot OLD, and a change of its fastener to revision B, with the lot NEW of an item that has it.
pub(crate) fn changed(state: ChangeState, modes: &[&str], cut_in_on: &str) -> FieldBuilder {
    let mut b = small(&["OLD"]);
    b.part(&part("ZIPPER", "B", "ZIP")).expect("new revision");
    b.part(&part("PACK", "B", "ITEM")).expect("new revision");
    b.component(&component(("PACK", "B"), ("ZIPPER", "B"), 1.0)).expect("known");
    b.lot(&lot("NEW", "PACK", "B")).expect("new lot");
    b.change(&Change {
        change_no: "C-1".into(),
        title: "Wider slider".into(),
        part_no: "ZIPPER".into(),
        from_revision: "A".into(),
        to_revision: "B".into(),
        modes: modes.iter().map(|&mode| mode.into()).collect(),
        state: Some(state),
        cut_in_lot: Some("NEW".into()),
        cut_in_on: Some(date(cut_in_on)),
    })
    .expect("known");
    b
}

/// The lot of a number.
pub(crate) fn lot_id(field: &Field, lot_no: &str) -> LotId {
    field.lots.iter().find(|(_, l)| &*l.lot_no == lot_no).map(|(id, _)| id).expect("a known lot")
}

/// The unit of a code.
pub(crate) fn unit_id(field: &Field, code: &str) -> UnitId {
    field.unit_names.find(code).expect("a known unit")
}

/// A seeded source of draws (SplitMix64, Steele, Lea and Flood 2014; from memory).
pub(crate) fn draws(seed: u64) -> impl FnMut() -> u64 {
    let mut state = seed;
    move || {
        state = state.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = state;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }
}

/// The fastener of one item replaced by one of no known lot; of which item is for the caller to say.
pub(crate) fn fastener_replaced(on: &str, unit: &str) -> Event {
    Event {
        happened_on: date(on),
        unit: unit.into(),
        serial: None,
        lot_no: None,
        quantity: 1,
        kind: EventKind::PartReplaced,
        part_no: Some("ZIPPER".into()),
        new_lot_no: None,
        outcome: None,
    }
}
