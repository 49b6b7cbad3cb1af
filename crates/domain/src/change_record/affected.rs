//! What a change reaches beside the part itself: assemblies that hold it, and stock by revision.

use std::collections::{BTreeMap, BTreeSet};

use crate::analysis::{Holders, Side, Sides};
use crate::field::{ChangeFacts, Field, PartId, RevisionId, Stock};
use crate::ledger::Ledger;

/// A part or assembly that holds the changed part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Assembly {
    /// The assembly.
    pub part: PartId,
    /// Steps above the changed part; the next higher assembly is 1.
    pub height: usize,
}

/// Stock of one revision of an item, or of the part itself, that the change concerns.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct AffectedStock {
    /// What it is.
    pub part: PartId,
    /// Its revision; `None` where the lot is not on record.
    pub revision: Option<RevisionId>,
    /// Whether it has the change, as the reach tells it: by its lot or by the new part it was given; `None` where that
    /// doesn't tell, as with pilot lots and lots built partly to it.
    pub has_change: Option<bool>,
    /// Items in store or returned and not issued again.
    pub in_store: u64,
    /// Items on issue.
    pub on_issue: u64,
}

/// Assemblies that hold the revision before a change, by height and number.
pub fn assemblies(field: &Field, from: RevisionId) -> Vec<Assembly> {
    let changed = field.revisions[from].part;
    let mut found: BTreeMap<PartId, usize> = BTreeMap::new();
    let mut level: BTreeSet<RevisionId> = BTreeSet::from([from]);
    let mut seen = level.clone();
    for height in 1.. {
        let above: BTreeSet<RevisionId> =
            level.iter().flat_map(|&r| field.revisions[r].parents.iter().copied()).collect();
        level = above.into_iter().filter(|revision| seen.insert(*revision)).collect();
        if level.is_empty() {
            break;
        }
        for &revision in &level {
            let part = field.revisions[revision].part;
            if part != changed {
                found.entry(part).or_insert(height);
            }
        }
    }
    let mut rows: Vec<Assembly> = found.into_iter().map(|(part, height)| Assembly { part, height }).collect();
    rows.sort_by_key(|row| (row.height, field.part_names[row.part].to_owned()));
    rows
}

/// A part, its revision, and whether it has the change.
type Kind = (PartId, Option<RevisionId>, Option<bool>);

/// Stock that holds the changed part in any revision, from the ledger; items by number, then revision.
pub fn affected_stock(field: &Field, ledger: &Ledger, change: &ChangeFacts) -> Vec<AffectedStock> {
    let any = Holders::of_part(field, change.part);
    let sides = Sides::new(field, change);
    let mut rows: BTreeMap<Kind, (u64, u64)> = BTreeMap::new();
    for held in ledger.held.iter().filter(|held| any.has_stock(field, held.stock)) {
        let (part, revision) = match held.stock {
            Stock::Lot(lot) => (field.part_of_lot(lot), Some(field.lots[lot].revision)),
            Stock::Unknown(part, _) => (part, None),
        };
        let has_change = match sides.of_items(ledger, held.stock, held.clocks) {
            Side::Before => Some(false),
            Side::After => Some(true),
            Side::Mixed(_) | Side::Neither => None,
        };
        let (in_store, on_issue) = rows.entry((part, revision, has_change)).or_default();
        *if held.in_service { on_issue } else { in_store } += u64::from(held.quantity);
    }
    let mut rows: Vec<AffectedStock> = rows
        .into_iter()
        .map(|((part, revision, has_change), (in_store, on_issue))| AffectedStock {
            part,
            revision,
            has_change,
            in_store,
            on_issue,
        })
        .collect();
    let letter =
        |row: &AffectedStock| row.revision.map(|revision| field.revisions[revision].revision.clone());
    rows.sort_by_key(|row| (field.part_names[row.part].to_owned(), row.revision.is_none(), letter(row)));
    rows
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ledger::{TakeOrder, fold};
    use crate::lot::Lot;
    use crate::movement::MovementKind;
    use crate::nouns::{builder, change, component, date, lot, movement, part, unit};
    use crate::unit::UnitKind;

    fn field() -> Field {
        let mut b = builder();
        for (code, kind) in [("COVE-2", UnitKind::Wearing), ("DEPOT", UnitKind::Depot)] {
            b.unit(&unit(code, kind)).expect("new");
        }
        for (part_no, revision, kind) in [
            ("RC-100", "A", "ITEM"),
            ("RC-100", "B", "ITEM"),
            ("RC-130", "A", "ASM"),
            ("RC-131", "A", "ZIP"),
            ("RC-131", "B", "ZIP"),
        ] {
            b.part(&part(part_no, revision, kind)).expect("new");
        }
        for (parent, child) in [
            (("RC-100", "A"), ("RC-130", "A")),
            (("RC-130", "A"), ("RC-131", "A")),
            (("RC-100", "B"), ("RC-131", "B")),
        ] {
            b.component(&component(parent, child, 1.0)).expect("known");
        }
        for (lot_no, revision) in [("TB-1", "A"), ("TB-2", "B")] {
            b.lot(&Lot { quantity: Some(100), ..lot(lot_no, "RC-100", revision) }).expect("known part");
        }
        for (lot_no, unit, quantity) in
            [("TB-1", "COVE-2", 40), ("TB-1", "DEPOT", 25), ("TB-2", "COVE-2", 10)]
        {
            b.movement(&movement("2025-01-01", MovementKind::Issue, lot_no, unit, quantity)).expect("known");
        }
        b.change(&change("2026-001", "RC-131")).expect("known");
        b.build()
    }

    #[test]
    fn next_higher_assemblies_come_before_what_holds_them() {
        let field = field();
        let from = field.find_revision("RC-131", "A").expect("known");
        let found = assemblies(&field, from);
        let named: Vec<_> = found.iter().map(|row| (&field.part_names[row.part], row.height)).collect();
        assert_eq!(named, [("RC-130", 1), ("RC-100", 2)]);
    }

    #[test]
    fn stock_is_told_by_revision_in_store_and_on_issue() {
        let field = field();
        let as_of = date("2026-01-01").into();
        let ledger = fold(&field, as_of, TakeOrder::OldestFirst);
        let found = affected_stock(&field, &ledger, &field.changes.rows()[0]);
        let told: Vec<_> = found.iter().map(|row| (row.has_change, row.in_store, row.on_issue)).collect();
        assert_eq!(told, [(Some(false), 25, 40), (Some(true), 0, 10)]);
    }
}
