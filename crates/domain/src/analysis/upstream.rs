//! Upstream lots of a failed part in each item lot, with the share of the items that has each.

use std::collections::{BTreeMap, BTreeSet};

use rustc_hash::FxHashSet;

use crate::field::{Day, Field, LotId, PartId};
use crate::lineage::{DEEPEST, Origin, shares, used_by_part};

/// A lot that a walk has come to, whether the failed part has been passed on the way, and the parts taken out by conversions on
/// it, which no longer count.
type Place = (LotId, bool, BTreeSet<PartId>);

/// The ways from item lots to the lots of one part.
pub(super) struct Upstream {
    failed: PartId,
    /// Parts below whose lots, on any record, there are lots of the failed part: on others it needn't be looked for.
    leading: FxHashSet<PartId>,
}

impl Upstream {
    pub(super) fn of_part(field: &Field, failed: PartId) -> Self {
        let mut steps: FxHashSet<(PartId, PartId)> = FxHashSet::default();
        for (lot, facts) in field.lots.iter() {
            let before = facts.converted_from.iter().filter_map(|converted| converted.0);
            let below = facts.used.iter().map(|used| used.0).chain(before);
            steps.extend(below.map(|below| (field.part_of_lot(lot), field.part_of_lot(below))));
        }
        let mut leading = FxHashSet::from_iter([failed]);
        let mut todo = vec![failed];
        while let Some(part) = todo.pop() {
            todo.extend(
                steps.iter().filter(|step| step.1 == part && leading.insert(step.0)).map(|step| step.0),
            );
        }
        Self { failed, leading }
    }

    /// Lots of the failed part in items that were given one of a lot, or an assembly of it.
    pub(super) fn with_lot(&self, field: &Field, new_lot: LotId, on: Day) -> Vec<(LotId, f64)> {
        let is_itself = field.part_of_lot(new_lot) == self.failed;
        let mut found = self.of_lot(field, new_lot, on);
        found.extend(is_itself.then_some((new_lot, 1.0)));
        found
    }

    /// Lots of the failed part in an item lot and what those were made from, with the share of the items that has each, by
    /// what was converted up to a day, as it was known then.
    ///
    /// Where a lot used several lots of one part, they share its items by the quantities used, or equally where a quantity
    /// is not known: which item has which is not on record. Items of other lots that became the lot are among its items by
    /// their number, with the lots that they have of the parts that they kept. Shares along a way through the lineage multiply.
    pub(super) fn of_lot(&self, field: &Field, item_lot: LotId, on: Day) -> Vec<(LotId, f64)> {
        let mut found: BTreeMap<LotId, f64> = BTreeMap::new();
        // Level by level, each lot once with all its ways together.
        let first: Place = (item_lot, field.part_of_lot(item_lot) == self.failed, BTreeSet::new());
        let mut level = BTreeMap::from([(first, 1.0)]);
        for _ in 0..DEEPEST {
            let mut next: BTreeMap<Place, f64> = BTreeMap::new();
            for ((lot, inside, gone), share) in level {
                let origin = Origin::known_by(field, lot, on, on);
                for (part, lots) in used_by_part(field, lot) {
                    let inside = inside || part == self.failed;
                    if gone.contains(&part) || !(inside || self.leading.contains(&part)) {
                        continue;
                    }
                    let share = share * origin.share_with_own(part);
                    if share <= 0.0 {
                        continue;
                    }
                    for (&(below, _), part_of_it) in lots.iter().zip(shares(lots.iter().map(|lot| lot.1))) {
                        if inside {
                            *found.entry(below).or_default() += share * part_of_it;
                        }
                        *next.entry((below, inside, gone.clone())).or_default() += share * part_of_it;
                    }
                }
                for converted in origin.converted.iter().filter(|converted| converted.items > 0.0) {
                    let Some(from) = converted.from else { continue };
                    let gone = gone.union(&converted.gone).copied().collect();
                    *next.entry((from, inside, gone)).or_default() +=
                        share * origin.share_converted(converted);
                }
            }
            level = next;
        }
        found.into_iter().collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lot::Lot;
    use crate::lot_use::LotUse;
    use crate::movement::{Movement, MovementKind};
    use crate::nouns::{builder, component, date, lot, movement, part, unit};
    use crate::unit::UnitKind;

    /// Ten levels of ten lots, each made of all ten below it: ten thousand million ways, and a tenth of the items has each lot.
    #[test]
    fn a_lot_is_walked_once_however_many_ways_lead_to_it() {
        let mut b = builder();
        let lot_no = |level: usize, n: usize| format!("L{level}-{n}");
        for level in 0..=10 {
            let part_no = format!("P{level}");
            b.part(&part(&part_no, "A", if level == 0 { "ITEM" } else { "WEB" })).expect("new");
            for n in 0..if level == 0 { 1 } else { 10 } {
                b.lot(&lot(&lot_no(level, n), &part_no, "A")).expect("new");
                if level > 0 {
                    for above in 0..if level == 1 { 1 } else { 10 } {
                        let (lot_no, used_lot_no) = (lot_no(level - 1, above), lot_no(level, n));
                        b.lot_use(&LotUse { lot_no, used_lot_no, quantity: Some(1.0) }).expect("known");
                    }
                }
            }
        }
        let field = b.build();
        let failed = field.part_names.find("P1").expect("known");
        let (item_lot, _) = field.lots.iter().find(|(_, lot)| *lot.lot_no == *"L0-0").expect("known");
        let found = Upstream::of_part(&field, failed).of_lot(&field, item_lot, date("2024-01-01").into());
        assert_eq!(found.len(), 100);
        assert!(found.iter().all(|(_, share)| (share - 0.1).abs() < 1e-12), "{found:?}");
    }

    /// Fifty of the hundred packs of L1, with tubes of T1, became L2, of which fifty were made new with tubes of T2.
    /// Conversion gives a pack another cover and another clip, and takes the strap away: of these none has the old one. After
    /// it half of L2 has tubes of T1, the day before none.
    #[test]
    fn converted_items_have_the_lots_of_the_parts_they_kept() {
        let mut b = builder();
        b.unit(&unit("A", UnitKind::Wearing)).expect("new");
        for (part_no, revisions) in
            [("PACK", "AB"), ("TUBE", "A"), ("COVER", "AB"), ("CLIP-1", "A"), ("CLIP-2", "A"), ("STRAP", "A")]
        {
            for revision in revisions.chars() {
                let kind = if part_no == "PACK" { "ITEM" } else { "WEB" };
                b.part(&part(part_no, &revision.to_string(), kind)).expect("new");
            }
        }
        let inside = [
            ("A", "TUBE", "A"),
            ("A", "COVER", "A"),
            ("A", "CLIP-1", "A"),
            ("A", "STRAP", "A"),
            ("B", "TUBE", "A"),
            ("B", "COVER", "B"),
            ("B", "CLIP-2", "A"),
        ];
        for (of, part_no, revision) in inside {
            b.component(&component(("PACK", of), (part_no, revision), 1.0)).expect("known");
        }
        let lots = [
            ("L1", "PACK", "A", 100),
            ("L2", "PACK", "B", 100),
            ("T1", "TUBE", "A", 100),
            ("T2", "TUBE", "A", 50),
            ("C1", "COVER", "A", 100),
            ("C2", "COVER", "B", 100),
            ("K1", "CLIP-1", "A", 100),
            ("K2", "CLIP-2", "A", 100),
            ("S1", "STRAP", "A", 100),
        ];
        for (lot_no, part_no, revision, quantity) in lots {
            b.lot(&Lot { quantity: Some(quantity), ..lot(lot_no, part_no, revision) }).expect("new");
        }
        for (lot_no, used, quantity) in [
            ("L1", "T1", 100.0),
            ("L1", "C1", 100.0),
            ("L1", "K1", 100.0),
            ("L1", "S1", 100.0),
            ("L2", "T2", 50.0),
            ("L2", "C2", 100.0),
            ("L2", "K2", 100.0),
        ] {
            let used = LotUse { lot_no: lot_no.into(), used_lot_no: used.into(), quantity: Some(quantity) };
            b.lot_use(&used).expect("known");
        }
        let became = movement("2024-01-01", MovementKind::Convert, "L1", "A", 50);
        b.movement(&Movement { to_lot_no: Some("L2".into()), ..became }).expect("known");
        let field = b.build();
        let id = |lot_no: &str| field.lots.iter().find(|(_, l)| *l.lot_no == *lot_no).expect("known").0;
        let by = |part_no: &str, on: &str| {
            let failed = field.part_names.find(part_no).expect("known");
            Upstream::of_part(&field, failed).of_lot(&field, id("L2"), date(on).into())
        };
        assert_eq!(by("TUBE", "2024-01-01"), [(id("T1"), 0.5), (id("T2"), 0.5)]);
        assert_eq!(by("TUBE", "2023-12-31"), [(id("T2"), 1.0)]);
        assert_eq!(by("COVER", "2024-01-01"), [(id("C2"), 1.0)], "another revision");
        assert_eq!(by("CLIP-2", "2024-01-01"), [(id("K2"), 1.0)], "another part");
        assert!(by("CLIP-1", "2024-01-01").is_empty() && by("STRAP", "2024-01-01").is_empty());
        let of_tubes = Upstream::of_part(&field, field.part_names.find("TUBE").expect("known"));
        assert_eq!(of_tubes.of_lot(&field, id("L1"), date("2024-01-01").into()), [(id("T1"), 1.0)]);
    }

    /// Fifty of the hundred packs of L2 were converted into it by 2024 with their tubes of T1, forty more in 2025. As of 2024
    /// nothing tells of the forty: the other half was made new, with tubes of T2.
    #[test]
    fn what_came_later_is_not_known_yet() {
        let later = |quantity: u32| {
            let mut b = builder();
            b.unit(&unit("A", UnitKind::Wearing)).expect("new");
            for (part_no, kind) in [("PACK", "ITEM"), ("TUBE", "TUB")] {
                b.part(&part(part_no, "A", kind)).expect("new");
            }
            b.component(&component(("PACK", "A"), ("TUBE", "A"), 1.0)).expect("known");
            for (lot_no, part_no) in [("L1", "PACK"), ("L2", "PACK"), ("T1", "TUBE"), ("T2", "TUBE")] {
                b.lot(&Lot { quantity: Some(100), ..lot(lot_no, part_no, "A") }).expect("new");
            }
            for (lot_no, used) in [("L1", "T1"), ("L2", "T2")] {
                let quantity = Some(if lot_no == "L2" { 10.0 } else { 100.0 });
                b.lot_use(&LotUse { lot_no: lot_no.into(), used_lot_no: used.into(), quantity })
                    .expect("known");
            }
            for (on, quantity) in [("2023-06-01", 50), ("2025-01-01", quantity)] {
                let became = movement(on, MovementKind::Convert, "L1", "A", quantity);
                b.movement(&Movement { to_lot_no: Some("L2".into()), ..became }).expect("known");
            }
            let field = b.build();
            let tubes = Upstream::of_part(&field, field.part_names.find("TUBE").expect("known"));
            let (l2, _) = field.lots.iter().find(|(_, lot)| *lot.lot_no == *"L2").expect("known");
            tubes.of_lot(&field, l2, date("2024-01-01").into()).into_iter().map(|of| of.1).collect::<Vec<_>>()
        };
        assert_eq!(later(0), [0.5, 0.5]);
        assert_eq!(later(40), later(0));
    }

    /// The pack's frame has no tubes of its own on record: it was another frame, of another part, that has.
    #[test]
    fn ways_lead_through_other_parts() {
        let mut b = builder();
        b.unit(&unit("A", UnitKind::Wearing)).expect("new");
        for part_no in ["PACK", "NEW", "OLD", "TUBE", "WIRE"] {
            let class = if part_no == "PACK" { "ITEM" } else { "WEB" };
            b.part(&part(part_no, "A", class)).expect("new");
            let of_part = lot(&format!("{part_no}-1"), part_no, "A");
            b.lot(&Lot { quantity: Some(100), ..of_part }).expect("new");
        }
        for (of, inside) in [("PACK", "NEW"), ("NEW", "TUBE"), ("OLD", "TUBE"), ("TUBE", "WIRE")] {
            b.component(&component((of, "A"), (inside, "A"), 1.0)).expect("known");
        }
        for (lot_no, used) in [("PACK-1", "NEW-1"), ("OLD-1", "TUBE-1"), ("TUBE-1", "WIRE-1")] {
            let used = LotUse { lot_no: lot_no.into(), used_lot_no: used.into(), quantity: Some(100.0) };
            b.lot_use(&used).expect("known");
        }
        let became = movement("2024-01-01", MovementKind::Convert, "OLD-1", "A", 100);
        b.movement(&Movement { to_lot_no: Some("NEW-1".into()), ..became }).expect("known");
        let field = b.build();
        let id = |lot_no: &str| field.lots.iter().find(|(_, l)| *l.lot_no == *lot_no).expect("known").0;
        let of_pack = |failed: &str| {
            let failed = field.part_names.find(failed).expect("known");
            Upstream::of_part(&field, failed).of_lot(&field, id("PACK-1"), date("2024-01-01").into())
        };
        assert_eq!(of_pack("TUBE"), [(id("TUBE-1"), 1.0), (id("WIRE-1"), 1.0)]);
        assert_eq!(of_pack("WIRE"), [(id("WIRE-1"), 1.0)]);
    }
}
