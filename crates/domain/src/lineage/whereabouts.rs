//! Who holds what was made from a lot, on the date of a ledger: the basis of a quarantine list.

use std::collections::{BTreeMap, BTreeSet, HashSet};

use super::content::Content;
use super::passage::Passage;
use super::replaced::{content, got_new_part};
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
        let can_contain = |lot: LotId| lot == of || below.contains(&lot);
        let mut lots: HashSet<LotId> = below.iter().copied().chain([of]).collect();
        lots.extend(ledger.held.iter().filter_map(|held| match held.stock {
            Stock::Lot(lot) => got_new_part(ledger, held.clocks, can_contain).then_some(lot),
            Stock::Unknown(..) => None,
        }));
        let mut groups: BTreeMap<(LotId, ClocksId), Vec<&ledger::Held>> = BTreeMap::new();
        for held in &ledger.held {
            if let Stock::Lot(lot) = held.stock
                && lots.contains(&lot)
            {
                groups.entry((lot, held.clocks)).or_default().push(held);
            }
        }
        let mut passage = Passage::new(field, of, Some(&below));
        let mut rows: BTreeMap<(Place, LotId), Holder> = BTreeMap::new();
        let (mut total, mut in_service) = (Held::default(), Held::default());
        for ((lot, clocks), held) in groups {
            let content = content(field, ledger, &mut passage, lot, clocks);
            let (mut all, mut worn) = (Sum::default(), Sum::default());
            for held in held {
                let items = Held {
                    best: f64::from(held.quantity),
                    low: f64::from(held.low),
                    high: f64::from(held.high),
                };
                let containing = portion(content, items);
                all.add(items, containing);
                if held.in_service {
                    worn.add(items, containing);
                }
                let row = rows.entry((Place::of(held), lot)).or_insert(Holder {
                    unit: held.unit,
                    lot,
                    in_service: held.in_service,
                    items: Held::default(),
                    containing: Held::default(),
                });
                row.items.add(items);
                row.containing.add(containing);
            }
            total.add(all.portion(content));
            in_service.add(worn.portion(content));
        }
        let unknown = unknown(field, ledger, of, &below);
        let holders = rows.into_values().filter(|row| row.containing.high > 0.0).collect();
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
