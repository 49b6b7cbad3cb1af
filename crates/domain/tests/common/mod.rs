//! Short ways to write books, reports and events in tests, and a seeded source of draws.

pub(crate) mod looks;
mod nouns;
pub(crate) mod world;

use domain::change::{Change, ChangeState};
use domain::event::{Event, EventKind};
use domain::field::{Day, Field, FieldBuilder, LotId, UnitId};
use domain::movement::{Condition, Movement, MovementKind};
use domain::report::{FoundWhen, LotKnown, Report};
use domain::unit::UnitKind;
pub(crate) use nouns::{builder, change, component, date, lot, movement, part, unit};

/// A day from its ISO text.
pub(crate) fn day(text: &str) -> Day {
    date(text).into()
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
        modes: modes.iter().map(|&mode| mode.into()).collect(),
        state: Some(state),
        cut_in_lot: Some("NEW".into()),
        cut_in_on: Some(date(cut_in_on)),
        ..change("C-1", "ZIPPER")
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
