//! Lots from labels: finds the lot that a reporter's few characters mean, or says which it could be.

mod look_alike;
mod near;

use std::collections::HashMap;

use rapidfuzz::distance::levenshtein::{Args, BatchComparator};
use rayon::prelude::*;
use rustc_hash::{FxHashMap, FxHashSet};

pub use look_alike::{normalised, running_neighbours};
pub use near::{LotCandidate, Told, lot_candidates};

use crate::field::{
    Day, Field, Found, Id as _, LotId, LotTextId, MakerId, PartId, ReportFacts, ReportId, Stock, Table,
    TextId, UnitId,
};
use crate::ledger::Stays;
use crate::words::words;

/// Texts this long may differ from a lot number in two characters; shorter ones in one.
const LONG_TEXT: usize = 8;

words! {
    /// How the lot of a report was found.
    pub enum Resolution {
        /// A person chose it.
        Chosen = "chosen",
        /// The label is the lot's number.
        Exact = "exact",
        /// The item's serial number belongs to it.
        Serial = "serial",
        /// The label is the lot's number but for case, separators and look-alike characters.
        LookAlike = "look-alike",
        /// The only lot issued to that unit that is near the label. A guess.
        Nearest = "nearest",
        /// There is a label, and it could be several lots or none.
        Unresolved = "unresolved",
        /// There is no label.
        NoLabel = "no label",
    }
}

impl Resolution {
    /// Whether the lot is a guess; a guessed lot never decides a flag alone.
    pub const fn is_guess(self) -> bool {
        matches!(self, Self::Nearest)
    }
}

/// The lot of a report and how it was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Resolved {
    /// The lot.
    pub lot: Option<LotId>,
    /// How.
    pub how: Resolution,
}

/// What decides a label: the same text from the same unit about the same item always means the same lot.
type LabelKey = (LotTextId, UnitId, PartId, Beside);

/// What else a label says: with the number it tells lots apart whose numbers are the same.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
struct Beside {
    maker: Option<MakerId>,
    contract: Option<TextId>,
    made_month: Option<Day>,
}

/// Finds lots from labels, as known on a date. The field is handed in with each question: it may have gained reports since.
#[derive(Debug)]
pub struct Labels {
    by_look: HashMap<Box<str>, Vec<LotId>>,
    look_of: Table<LotId, Box<str>>,
    /// Lots of an item ever issued to a unit, each with the characters of its look.
    at_unit: FxHashMap<(UnitId, PartId), Vec<(LotId, u64)>>,
    serials: Stays,
    /// Makers that have lots on record.
    makers: FxHashSet<MakerId>,
}

impl Labels {
    /// Prepares the look-up; `as_of` limits which issues count.
    pub fn new(field: &Field, as_of: Day) -> Self {
        let mut by_look: HashMap<Box<str>, Vec<LotId>> = HashMap::new();
        let mut look_of = Table::default();
        for (id, lot) in field.lots.iter() {
            let look: Box<str> = normalised(&lot.lot_no).into();
            by_look.entry(look.clone()).or_default().push(id);
            look_of.push(look);
        }
        let mut pairs: FxHashSet<(UnitId, LotId)> = FxHashSet::default();
        for movement in field.movements.iter().filter(|m| m.day <= as_of) {
            if let Stock::Lot(lot) = movement.stock {
                pairs.insert((movement.unit, lot));
                pairs.extend(movement.to_unit.map(|unit| (unit, lot)));
            }
            pairs.extend(movement.to_lot.map(|lot| (movement.unit, lot)));
        }
        let mut at_unit: FxHashMap<(UnitId, PartId), Vec<(LotId, u64)>> = FxHashMap::default();
        for (unit, lot) in pairs {
            let lots = at_unit.entry((unit, field.part_of_lot(lot))).or_default();
            lots.push((lot, characters(&look_of[lot])));
        }
        for lots in at_unit.values_mut() {
            lots.sort_unstable();
        }
        let makers = field.lots.iter().filter_map(|(_, lot)| lot.maker).collect();
        Self { by_look, look_of, at_unit, serials: Stays::new(field), makers }
    }

    /// The lots of all reports, in their order.
    pub fn resolve_all(&self, field: &Field) -> Vec<Resolved> {
        let reports = &field.reports;
        let mut distinct: Vec<LabelKey> = reports.values().filter_map(key).collect();
        distinct.par_sort_unstable();
        distinct.dedup();
        let texts: Vec<Resolved> = distinct.par_iter().map(|&key| self.by_text(field, key)).collect();
        let known: FxHashMap<LabelKey, Resolved> = distinct.into_iter().zip(texts).collect();
        let ids = (0..reports.len()).into_par_iter().map(ReportId::from_index);
        ids.map(|id| self.choose(&reports[id], |key| known[&key])).collect()
    }

    /// The lot of one report.
    pub fn resolve(&self, field: &Field, report: &ReportFacts) -> Resolved {
        self.choose(report, |key| self.by_text(field, key))
    }

    /// What an unresolved label could be: lots that look the same, else those issued to the unit that are near,
    /// nearest first.
    pub fn candidates(&self, field: &Field, report: &ReportFacts) -> Vec<LotId> {
        let Some((text, unit, item, _)) = key(report) else { return Vec::new() };
        let look = normalised(&field.lot_texts[text]);
        let same = self.looking_like(field, &look, item);
        if same.is_empty() {
            self.near(&look, unit, item).into_iter().map(|(_, lot)| lot).collect()
        } else {
            same
        }
    }

    fn choose(&self, report: &ReportFacts, by_text: impl Fn(LabelKey) -> Resolved) -> Resolved {
        if let Some(lot) = report.lot_chosen {
            return Resolved { lot: Some(lot), how: Resolution::Chosen };
        }
        let text = key(report).map(by_text);
        if let Some(exact) = text.filter(|r| r.how == Resolution::Exact) {
            return exact;
        }
        // The lot it had when the day began, for what failed on the day of a conversion was the item as it was.
        let eve = Day(report.found_on.0 - 1);
        if let Some(lot) = report.serial.and_then(|serial| self.serials.lot_on(serial, eve)) {
            return Resolved { lot: Some(lot), how: Resolution::Serial };
        }
        text.unwrap_or(Resolved { lot: None, how: Resolution::NoLabel })
    }

    fn by_text(&self, field: &Field, (text, unit, item, beside): LabelKey) -> Resolved {
        let text = &field.lot_texts[text];
        let of_item = |lot: &LotId| field.part_of_lot(*lot) == item;
        let exact = match field.lot_keys.find(text, beside.maker) {
            Found::One(lot) => Some(lot).filter(of_item),
            Found::Several => {
                let lots = field.lot_keys.all(text).filter(of_item).collect();
                Some(self.told_apart(field, lots, beside)).filter(|lots| lots.len() == 1).map(|lots| lots[0])
            }
            Found::Nothing => None,
        };
        if exact.is_some() {
            return Resolved { lot: exact, how: Resolution::Exact };
        }
        let look = normalised(text);
        if look.is_empty() {
            return Resolved { lot: None, how: Resolution::NoLabel };
        }
        let mut same = self.told_apart(field, self.looking_like(field, &look, item), beside);
        if same.len() > 1 {
            let here = self.at_unit.get(&(unit, item)).map_or(&[][..], Vec::as_slice);
            same.retain(|lot| here.binary_search_by_key(lot, |(here, _)| *here).is_ok());
        }
        match same.as_slice() {
            [lot] => return Resolved { lot: Some(*lot), how: Resolution::LookAlike },
            [] if self.looking_like(field, &look, item).is_empty() => {}
            _ => return Resolved { lot: None, how: Resolution::Unresolved },
        }
        match self.near(&look, unit, item).as_slice() {
            [(_, lot)] if !running_neighbours(&look, &self.look_of[*lot]) => {
                Resolved { lot: Some(*lot), how: Resolution::Nearest }
            }
            _ => Resolved { lot: None, how: Resolution::Unresolved },
        }
    }

    /// Of the lots of one number, those that agree with the label's maker, contract and month of make; what none agrees with is
    /// passed over, except the maker. One lot alone is dropped only for a maker with lots on record: else the name may
    /// be another spelling.
    fn told_apart(&self, field: &Field, mut lots: Vec<LotId>, beside: Beside) -> Vec<LotId> {
        let facts = |lot: LotId| &field.lots[lot];
        if let Some(maker) = beside.maker {
            if lots.len() > 1 {
                lots.retain(|&lot| facts(lot).maker == Some(maker));
            } else if self.makers.contains(&maker) {
                lots.retain(|&lot| facts(lot).maker.is_none_or(|own| own == maker));
            }
        }
        let mut narrow = |agrees: &dyn Fn(LotId) -> bool| {
            if lots.len() > 1 && lots.iter().any(|&lot| agrees(lot)) {
                lots.retain(|&lot| agrees(lot));
            }
        };
        if beside.contract.is_some() {
            narrow(&|lot| facts(lot).contract == beside.contract);
        }
        if let Some(month) = beside.made_month {
            narrow(&|lot| facts(lot).made_on.is_some_and(|made| made.month() == month.month()));
        }
        lots
    }

    fn looking_like(&self, field: &Field, look: &str, item: PartId) -> Vec<LotId> {
        let lots = self.by_look.get(look).map_or(&[][..], Vec::as_slice);
        lots.iter().copied().filter(|&lot| field.part_of_lot(lot) == item).collect()
    }

    /// Lots of the item issued to the unit within the distance allowed, nearest first.
    fn near(&self, look: &str, unit: UnitId, item: PartId) -> Vec<(usize, LotId)> {
        let length = look.chars().count();
        let limit = if length >= LONG_TEXT { 2 } else { 1 };
        let comparator = BatchComparator::new(look.chars());
        let args = Args::default().score_cutoff(limit);
        let mine = characters(look);
        let mut near: Vec<(usize, LotId)> = self
            .at_unit
            .get(&(unit, item))
            .map_or(&[][..], Vec::as_slice)
            .iter()
            // One edit takes out at most one character and brings in one.
            .filter(|(_, theirs)| (theirs ^ mine).count_ones() as usize <= 2 * limit)
            .filter_map(|&(lot, _)| {
                let distance = comparator.distance_with_args(self.look_of[lot].chars(), &args)?;
                Some((distance, lot))
            })
            .collect();
        near.sort_unstable();
        near
    }
}

/// The set of characters of a text, folded into 64 places.
fn characters(text: &str) -> u64 {
    text.chars().fold(0, |set, c| set | 1 << (u32::from(c) % 64))
}

fn key(report: &ReportFacts) -> Option<LabelKey> {
    let beside = Beside { maker: report.maker, contract: report.contract, made_month: report.made_month };
    report.lot_text.map(|text| (text, report.unit, report.item, beside))
}
