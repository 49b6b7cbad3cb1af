//! The days on which units are on record as having looked their items over: what an inspection finds failed since the last.
//!
//! An inspection is a look at its part, and a wash or a function test one at the item: who has them out looks at them. A repair
//! is none, for it is of what was broken.

use crate::event::EventKind;
use crate::field::{Day, EventFacts, Field, PartId, UnitId};
use crate::ledger::Stays;

/// The looks of each unit at each end item, and those of inspections at each part, by day.
pub(super) struct Rounds(Vec<(UnitId, PartId, Day)>);

impl Rounds {
    pub(super) fn new(field: &Field, as_of: Day) -> Self {
        let stays = Stays::new(field);
        let inspections = field.inspections.iter().filter(|look| look.inspected > 0);
        let inspections = inspections.map(|look| (look.unit, look.part, look.day));
        let cared_for = field.events.iter().filter_map(|event| {
            let is_look = matches!(event.kind, EventKind::Wash | EventKind::FunctionTest);
            let item = item_of(field, &stays, event).filter(|_| is_look)?;
            Some((event.unit, item, event.day))
        });
        let mut looks: Vec<_> = inspections.chain(cared_for).filter(|look| look.2 <= as_of).collect();
        looks.sort_unstable();
        looks.dedup();
        Self(looks)
    }

    /// The last look of a unit at an item, or at a part of it, before a day; long ago where there was none.
    pub(super) fn last_before(&self, unit: UnitId, of: impl IntoIterator<Item = PartId>, day: Day) -> Day {
        let last = |of: PartId| {
            let at = self.0.partition_point(|&look| look < (unit, of, day));
            let before = at.checked_sub(1).map(|at| self.0[at]);
            before.filter(|look| (look.0, look.1) == (unit, of)).map(|look| look.2)
        };
        of.into_iter().filter_map(last).max().unwrap_or(Day(i32::MIN / 2))
    }
}

/// The end item that an event is on, by its lot or its number.
fn item_of(field: &Field, stays: &Stays, event: &EventFacts) -> Option<PartId> {
    let by_number = || stays.lot_on(event.serial?, event.day);
    event.lot.or_else(by_number).map(|lot| field.part_of_lot(lot))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::event::Event;
    use crate::nouns::{builder, lot, part, unit};
    use crate::unit::UnitKind;

    /// Packs washed in February and mended in March, helmets washed in April.
    #[test]
    fn a_wash_is_a_look_at_its_item_and_a_repair_is_none() {
        let mut b = builder();
        b.unit(&unit("A", UnitKind::Wearing)).expect("new unit");
        for (part_no, lot_no) in [("PACK", "L"), ("HELMET", "H")] {
            b.part(&part(part_no, "A", "ITEM")).expect("new part");
            b.lot(&lot(lot_no, part_no, "A")).expect("new lot");
        }
        let day = |on: &str| Day::from(on.parse::<chrono::NaiveDate>().expect("a date"));
        let wash = EventKind::Wash;
        for (on, lot_no, kind) in
            [("2024-02-01", "L", wash), ("2024-03-01", "L", EventKind::Repair), ("2024-04-01", "H", wash)]
        {
            let event = Event {
                happened_on: on.parse().expect("a date"),
                unit: "A".into(),
                serial: None,
                lot_no: Some(lot_no.into()),
                quantity: 10,
                kind,
                part_no: None,
                new_lot_no: None,
                outcome: None,
            };
            b.event(&event).expect("known");
        }
        let field = b.build();
        let rounds = Rounds::new(&field, day("2024-12-31"));
        let unit = field.unit_names.find("A").expect("a unit");
        let last = |item: &str| {
            let item = field.part_names.find(item).expect("a part");
            rounds.last_before(unit, [item], day("2024-12-31"))
        };
        assert_eq!((last("PACK"), last("HELMET")), (day("2024-02-01"), day("2024-04-01")));
    }
}
