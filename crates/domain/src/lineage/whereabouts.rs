//! Who holds what was made from a lot, on the date of a ledger: the basis of a quarantine list.

use std::collections::{BTreeMap, BTreeSet};

use super::content::Content;
use super::origin::ANY_DAY;
use super::passage::{Passage, Scope};
use super::replaced::{content, of_new_parts};
use super::tree::descendants;
use super::unknown_lot::{Place, Possible, UnknownLot, unknown};
use crate::event::EventKind;
use crate::field::{Day, EventFacts, Field, LotId, MovementFacts, PartId, Stock, UnitId};
use crate::ledger::{self, ClocksId, Ledger, Stays, TakeOrder, fold, fold_parts};
use crate::movement::MovementKind;

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

/// Items of one lot at one unit, or of no known lot that were given a part of the lot in question.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Holder {
    /// Where; `None` for what was returned and not issued again.
    pub unit: Option<UnitId>,
    /// What they are: of the lot in question, of one it went into, or of no known lot.
    pub stock: Stock,
    /// Whether they are in service there.
    pub in_service: bool,
    /// Items of that lot there, by the books; of no known lot those alone that were given such a part.
    pub items: Held,
    /// Of these, those that contain the lot in question.
    pub containing: Held,
}

impl Holder {
    /// The lot they are of, where it is on record.
    pub const fn lot(&self) -> Option<LotId> {
        match self.stock {
            Stock::Lot(lot) => Some(lot),
            Stock::Unknown(..) => None,
        }
    }

    /// Whether another row is of the same lot at the same place.
    fn is_beside(&self, other: &Self) -> bool {
        (self.unit, self.stock, self.in_service) == (other.unit, other.stock, other.in_service)
    }
}

/// Who holds what was made from a lot.
#[derive(Clone, Debug, PartialEq)]
pub struct Whereabouts {
    /// The lot in question.
    pub of: LotId,
    /// The date.
    pub on: Day,
    /// The holders: units in the order of the field, what was returned last; in service before stored; then by lot, of no known lot last.
    pub holders: Vec<Holder>,
    /// Other items whose lot is not on record, in the same order.
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
        let below = descendants(field, of, ledger.as_of);
        let scope = Scope::new(field, below.iter().copied());
        let repaired = ledger.clocks.with_new_lot(|lot| lot == of || scope.has(lot));
        let possible = Possible::new(field, below.iter().copied().chain([of]));
        let mut passage = Passage::new(field, of, &scope, ledger.as_of);
        let mut rows: Vec<(Place, Holder)> = Vec::new();
        let (mut total, mut in_service) = (Held::default(), Held::default());
        for (stock, held) in concerned(ledger, of, &below, &repaired) {
            let mut groups: BTreeMap<ClocksId, Vec<&ledger::Held>> = BTreeMap::new();
            for held in held {
                groups.entry(held.clocks).or_default().push(held);
            }
            for (clocks, held) in groups {
                let content = match stock {
                    Stock::Lot(lot) => content(ledger, &mut passage, lot, clocks),
                    Stock::Unknown(part, size) => {
                        let new = of_new_parts(ledger, &mut passage, clocks);
                        let most = if possible.has(part, size) { f64::INFINITY } else { new.most };
                        Content { most, ..new }
                    }
                };
                let (mut all, mut worn) = (Sum::default(), Sum::default());
                for held in held {
                    let items = items_of(held);
                    let containing = portion(content, items);
                    all.add(items, containing);
                    if held.in_service {
                        worn.add(items, containing);
                    }
                    let (unit, in_service) = (held.unit, held.in_service);
                    rows.push((Place::of(held), Holder { unit, stock, in_service, items, containing }));
                }
                total.add(all.portion(content));
                in_service.add(worn.portion(content));
            }
        }
        rows.sort_by_key(|(place, holder)| (*place, holder.stock));
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
        let unknown = unknown(ledger, &possible, &repaired);
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

/// What is held that can contain the lot in question, by lot: of it itself, of what it went into, and of what was given a
/// part of these; of no known lot, that alone.
fn concerned<'a>(
    ledger: &'a Ledger,
    of: LotId,
    below: &[LotId],
    repaired: &[ClocksId],
) -> BTreeMap<Stock, Vec<&'a ledger::Held>> {
    let is_repaired = |held: &&ledger::Held| repaired.binary_search(&held.clocks).is_ok();
    let (mut lots, mut found) = (BTreeSet::from([of]), BTreeMap::<Stock, Vec<&ledger::Held>>::new());
    lots.extend(below);
    if !repaired.is_empty() {
        for held in ledger.held.iter().filter(is_repaired) {
            match held.stock {
                Stock::Lot(lot) => lots.extend([lot]),
                Stock::Unknown(..) => found.entry(held.stock).or_default().push(held),
            }
        }
    }
    found.extend(lots.into_iter().map(|lot| (Stock::Lot(lot), held_of(ledger, lot).iter().collect())));
    found
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

/// The parts whose movements say where a lot went: items of one part can be mistaken for one another, become others, and be
/// given a part of a lot they weren't made from.
fn parts_that_move(field: &Field, of: LotId) -> BTreeSet<PartId> {
    let lots: BTreeSet<LotId> = descendants(field, of, ANY_DAY).into_iter().chain([of]).collect();
    let given = field.events.iter().filter(|event| event.new_lot.is_some_and(|lot| lots.contains(&lot)));
    let stays = Stays::new(field);
    let repaired = given.filter_map(|event| event.lot.or_else(|| stays.lot_on(event.serial?, event.day)));
    let mut parts: BTreeSet<PartId> =
        lots.iter().copied().chain(repaired).map(|lot| field.part_of_lot(lot)).collect();
    let became = |movement: &MovementFacts| {
        let into = movement.to_lot.filter(|_| movement.kind == MovementKind::Convert)?;
        Some([ledger::part_of(field, movement.stock), field.part_of_lot(into)])
    };
    let became: BTreeSet<[PartId; 2]> = field.movements.iter().filter_map(became).collect();
    loop {
        let before = parts.len();
        for kin in &became {
            if kin.iter().any(|part| parts.contains(part)) {
                parts.extend(kin);
            }
        }
        if parts.len() == before {
            return parts;
        }
    }
}

fn portion(content: Content, items: Held) -> Held {
    let low = content.fewest_of(items.low);
    // Records may state fewer items than are held: the most is never less than what is sure.
    let high = content.most_of(items.high).max(low);
    Held { best: (items.best * content.share).clamp(low, high), low, high }
}
