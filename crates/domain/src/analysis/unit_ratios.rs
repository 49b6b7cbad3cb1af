//! How much more often each unit reports than the field does on items as old, over everything that it reports.
//!
//! It is taken from reports that have been in for a month, sorted or not: so a report that comes in or is sorted today
//! changes nothing in the recurrences that it isn't of.

use std::collections::BTreeMap;

use rustc_hash::FxHashMap;

use super::forecast::USUAL_SHAPE;
use super::seen::comparable;
use crate::field::{DAYS_PER_YEAR, Day, Field, PartId, UnitId};
use crate::ledger::{Books, Ledger, Spell, part_of};

/// Reports that count as much as having seen none.
const REPORTS_BEFORE: f64 = 4.0;
/// Days that a report must have been in.
const DAYS_IN: i32 = 30;

/// Items in service by item and unit while reports were kept, weighted by how failures grow with age.
#[derive(Debug)]
pub(super) struct Served {
    of: BTreeMap<(PartId, UnitId), f64>,
    /// From that day on.
    pub(super) from: Day,
}

impl Served {
    pub(super) fn new(field: &Field, ledger: &Ledger, from: Day) -> Self {
        let mut of = BTreeMap::new();
        let grown = |days: i32| (f64::from(days.max(0)) / DAYS_PER_YEAR).powf(USUAL_SHAPE);
        let counts = |spell: &&Spell| spell.books.has(Books::BEST) && from <= spell.to;
        for spell in ledger.spells.iter().filter(counts) {
            let key = (part_of(field, spell.stock), spell.unit);
            let age_on = |day: Day| spell.age_days + (day.0 - spell.from.0);
            let passed = grown(age_on(spell.to)) - grown(age_on(from.max(spell.from)));
            *of.entry(key).or_default() += f64::from(spell.quantity) * passed;
        }
        Self { of, from }
    }
}

/// The units' ratios.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct UnitRatios {
    /// Reports, and what is expected at the field's rate.
    of: BTreeMap<UnitId, (f64, f64)>,
    /// Reports in all.
    all: f64,
    /// Reports received before that day count.
    pub(super) until: Day,
}

impl UnitRatios {
    pub(super) fn new(field: &Field, served: &Served, as_of: Day) -> Self {
        let until = Day(as_of.0 - DAYS_IN);
        let mut seen: FxHashMap<(PartId, UnitId), f64> = FxHashMap::default();
        for report in field.reports.values() {
            if report.received_on < until && served.from <= report.found_on && comparable(report) {
                *seen.entry((report.item, report.unit)).or_default() += 1.0;
            }
        }
        let mut items: BTreeMap<PartId, (f64, f64)> = BTreeMap::new();
        for (key, served) in &served.of {
            let sums = items.entry(key.0).or_default();
            *sums = (sums.0 + seen.get(key).copied().unwrap_or(0.0), sums.1 + served);
        }
        let mut ratios = Self { of: BTreeMap::new(), all: items.values().map(|sums| sums.0).sum(), until };
        for (key, served) in &served.of {
            let (reports, all) = items[&key.0];
            let sums = ratios.of.entry(key.1).or_default();
            sums.0 += seen.get(key).copied().unwrap_or(0.0);
            sums.1 += if all > 0.0 { reports * served / all } else { 0.0 };
        }
        ratios
    }

    /// A unit's ratio, one recurrence left out of which the unit has some reports and all units together have others.
    pub(super) fn without(&self, unit: UnitId, own: f64, of_all: f64) -> f64 {
        let (seen, expected) = self.of.get(&unit).copied().unwrap_or_default();
        let left = if self.all > 0.0 { (1.0 - of_all / self.all).max(0.0) } else { 0.0 };
        (REPORTS_BEFORE + (seen - own).max(0.0)) / (REPORTS_BEFORE + expected * left)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::field::Id as _;
    use crate::ledger::{TakeOrder, fold};
    use crate::movement::{Movement, MovementKind};
    use crate::nouns::{builder, date, lot, movement, part, unit};
    use crate::unit::UnitKind;

    /// By hand: unit 0 has 44 of 100 reports and half of what is expected: (4 + 44) / (4 + 50). A recurrence of 50 reports,
    /// 40 of them there, left out: (4 + 4) / (4 + 25).
    #[test]
    fn a_recurrence_does_not_speak_for_itself() {
        let unit = UnitId::from_index;
        let of = BTreeMap::from([(unit(0), (44.0, 50.0)), (unit(1), (56.0, 50.0))]);
        let ratios = UnitRatios { of, all: 100.0, until: Day(0) };
        assert!((ratios.without(unit(0), 0.0, 0.0) - 48.0 / 54.0).abs() < 1e-12);
        assert!((ratios.without(unit(0), 40.0, 50.0) - 8.0 / 29.0).abs() < 1e-12);
        assert_eq!(ratios.without(unit(7), 0.0, 0.0), 1.0, "a unit of which nothing is known");
        assert_eq!(ratios.without(unit(1), 56.0, 100.0), 1.0, "nothing else is known");
    }

    /// 120 items of two lots, of which 60 come back after two years with no lot named: the other 60 serve four. Which lot those are
    /// of is open, and no reason to count both.
    #[test]
    fn items_that_may_have_left_are_not_served_twice() {
        let mut b = builder();
        b.unit(&unit("A", UnitKind::Wearing)).expect("new");
        b.part(&part("PACK", "A", "ITEM")).expect("new");
        for lot_no in ["L1", "L2"] {
            b.lot(&lot(lot_no, "PACK", "A")).expect("new");
            b.movement(&movement("2020-01-01", MovementKind::Issue, lot_no, "A", 60)).expect("known");
        }
        let of_no_lot = Movement {
            lot_no: None,
            part_no: Some("PACK".into()),
            ..movement("2022-01-01", MovementKind::Return, "", "A", 60)
        };
        b.movement(&of_no_lot).expect("known");
        let field = b.build();
        let ledger = fold(&field, date("2024-01-01").into(), TakeOrder::OldestFirst);
        let served = Served::new(&field, &ledger, Day(i32::MIN / 2));
        let of_unit = served.of.values().next().copied().expect("served");
        let by_hand = 60.0 * 2.0_f64.powf(USUAL_SHAPE) + 60.0 * 4.0_f64.powf(USUAL_SHAPE);
        assert!((of_unit / by_hand - 1.0).abs() < 2e-3, "{of_unit} {by_hand}");
    }
}
