//! Who holds what was made from a lot, on the date of a ledger: the basis of a quarantine list.

use std::collections::{BTreeMap, BTreeSet};

use super::content::Content;
use super::passage::{Passage, Scope};
use super::replaced::content;
use super::tree::descendants;
use super::unknown_lot::{Place, UnknownLot, unknown};
use crate::event::EventKind;
use crate::field::{Day, EventFacts, Field, LotId, PartId, Stock, UnitId};
use crate::ledger::{self, ClocksId, Ledger, TakeOrder, fold, fold_parts};

/// A number of items with the least and the most.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Held {
    /// By the best account; where shares are known but not which item has what, what is to be expected.
    pub best: f64,
    /// The fewest.
    pub low: f64,
    /// The most.
    pub high: f64,
}

impl Held {
    fn add(&mut self, other: Self) {
        self.best += other.best;
        self.low += other.low;
        self.high += other.high;
    }
}

/// Items of one lot at one unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Holder {
    /// Where; `None` for what was returned and not issued again.
    pub unit: Option<UnitId>,
    /// The lot they are of: the one in question, or one it went into.
    pub lot: LotId,
    /// Whether they are in service there.
    pub in_service: bool,
    /// Items of that lot there, by the books.
    pub items: Held,
    /// Of these, those that contain the lot in question.
    pub containing: Held,
}

impl Holder {
    /// Whether another row is of the same lot at the same place.
    fn is_beside(&self, other: &Self) -> bool {
        (self.unit, self.lot, self.in_service) == (other.unit, other.lot, other.in_service)
    }
}

/// Who holds what was made from a lot.
#[derive(Clone, Debug, PartialEq)]
pub struct Whereabouts {
    /// The lot in question.
    pub of: LotId,
    /// The date.
    pub on: Day,
    /// The holders: units in the order of the field, what was returned last; in service before stored; then by lot.
    pub holders: Vec<Holder>,
    /// Items whose lot is not on record, in the same order.
    pub unknown: Vec<UnknownLot>,
    /// All that contain it.
    pub total: Held,
    /// Of these, in service.
    pub in_service: Held,
}

impl Whereabouts {
    /// Who holds what was made from `of` on any date; `ledger` is read where it is of that date.
    pub fn on(field: &Field, ledger: &Ledger, of: LotId, on: Day) -> Self {
        if ledger.as_of == on {
            return Self::new(field, ledger, of);
        }
        let order = TakeOrder::OldestFirst;
        // A replacement that names neither lot nor item takes the oldest of all that its unit holds.
        let is_open = |event: &EventFacts| {
            event.kind == EventKind::PartReplaced && event.lot.is_none() && event.serial.is_none()
        };
        let ledger = if field.events.iter().any(is_open) {
            fold(field, on, order)
        } else {
            fold_parts(field, on, order, &parts_that_move(field, of))
        };
        Self::new(field, &ledger, of)
    }

    /// Who holds what was made from `of`, by the books up to the date of the ledger.
    pub fn new(field: &Field, ledger: &Ledger, of: LotId) -> Self {
        let below = descendants(field, of);
        let scope = Scope::new(field, below.iter().copied());
        let mut passage = Passage::new(field, of, &scope);
        let mut rows: Vec<(Place, Holder)> = Vec::new();
        let (mut total, mut in_service) = (Held::default(), Held::default());
        for lot in lots_concerned(ledger, of, &below, &scope) {
            let mut groups: BTreeMap<ClocksId, Vec<&ledger::Held>> = BTreeMap::new();
            for held in held_of(ledger, lot) {
                groups.entry(held.clocks).or_default().push(held);
            }
            for (clocks, held) in groups {
                let content = content(field, ledger, &mut passage, lot, clocks);
                let (mut all, mut worn) = (Sum::default(), Sum::default());
                for held in held {
                    let items = items_of(held);
                    let containing = portion(content, items);
                    all.add(items, containing);
                    if held.in_service {
                        worn.add(items, containing);
                    }
                    let (unit, in_service) = (held.unit, held.in_service);
                    rows.push((Place::of(held), Holder { unit, lot, in_service, items, containing }));
                }
                total.add(all.portion(content));
                in_service.add(worn.portion(content));
            }
        }
        rows.sort_by_key(|(place, holder)| (*place, holder.lot));
        let mut holders: Vec<Holder> = Vec::with_capacity(rows.len());
        for (_, row) in rows {
            match holders.last_mut().filter(|last| last.is_beside(&row)) {
                Some(last) => {
                    last.items.add(row.items);
                    last.containing.add(row.containing);
                }
                None => holders.push(row),
            }
        }
        holders.retain(|row| row.containing.high > 0.0);
        let unknown = unknown(field, ledger, of, &below);
        Self { of, on: ledger.as_of, holders, unknown, total, in_service }
    }

    /// The units that hold any, in order, with what of it they hold; `None` for what was returned.
    pub fn by_unit(&self) -> Vec<(Option<UnitId>, Held)> {
        let mut units: Vec<(Option<UnitId>, Held)> = Vec::new();
        for holder in &self.holders {
            match units.last_mut() {
                Some((unit, held)) if *unit == holder.unit => held.add(holder.containing),
                _ => units.push((holder.unit, holder.containing)),
            }
        }
        units
    }
}

/// Lots whose items can contain the lot in question: it itself, what it went into, and what got a part of these.
fn lots_concerned(ledger: &Ledger, of: LotId, below: &[LotId], scope: &Scope) -> Vec<LotId> {
    let mut lots: Vec<LotId> = below.iter().copied().chain([of]).collect();
    let repaired = ledger.clocks.with_new_lot(|lot| lot == of || scope.has(lot));
    if !repaired.is_empty() {
        let held = ledger.held.iter().filter(|held| repaired.binary_search(&held.clocks).is_ok());
        lots.extend(held.filter_map(|held| match held.stock {
            Stock::Lot(lot) => Some(lot),
            Stock::Unknown(..) => None,
        }));
    }
    lots.sort_unstable();
    lots.dedup();
    lots
}

/// What is held of one lot.
fn held_of(ledger: &Ledger, lot: LotId) -> &[ledger::Held] {
    let from = ledger.held.partition_point(|held| held.stock < Stock::Lot(lot));
    let len = ledger.held[from..].partition_point(|held| held.stock == Stock::Lot(lot));
    &ledger.held[from..from + len]
}

fn items_of(held: &ledger::Held) -> Held {
    Held { best: f64::from(held.quantity), low: f64::from(held.low), high: f64::from(held.high) }
}

/// Items at several places: the fewest and the most are known better of all together than of each.
#[derive(Default)]
struct Sum {
    items: Held,
    containing: f64,
}

impl Sum {
    fn add(&mut self, items: Held, containing: Held) {
        self.items.add(items);
        self.containing += containing.best;
    }

    fn portion(&self, content: Content) -> Held {
        Held { best: self.containing, ..portion(content, self.items) }
    }
}

/// The parts whose movements say where a lot went: items of one part can be mistaken for one another, and become others.
fn parts_that_move(field: &Field, of: LotId) -> BTreeSet<PartId> {
    let mut parts: BTreeSet<PartId> =
        descendants(field, of).into_iter().chain([of]).map(|lot| field.part_of_lot(lot)).collect();
    loop {
        let before = parts.len();
        for (lot, facts) in field.lots.iter() {
            let sources = facts.converted_from.iter().map(|&(from, _)| field.part_of_lot(from));
            if !facts.converted_from.is_empty() && parts.contains(&field.part_of_lot(lot)) {
                parts.extend(sources);
            }
        }
        if parts.len() == before {
            return parts;
        }
    }
}

fn portion(content: Content, items: Held) -> Held {
    let (low, high) = (content.fewest_of(items.low), content.most_of(items.high));
    Held { best: (items.best * content.share).clamp(low, high.max(low)), low, high }
}
