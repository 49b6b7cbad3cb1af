//! Lots from labels: finds the lot that a reporter's few characters mean, or says which it could be.

mod issued;
mod legible;
mod look_alike;
mod near;

use std::collections::HashMap;

use rapidfuzz::distance::levenshtein::{Args, BatchComparator};
use rayon::prelude::*;
use rustc_hash::{FxHashMap, FxHashSet};

use issued::{Issued, IssuedLots};
use legible::Legible;
pub use look_alike::{normalised, running_neighbours};
pub use near::{LotCandidate, Told, lot_candidates};

use crate::field::{
    Day, Field, Found, Id as _, LotId, LotTextId, MakerId, PartId, ReportFacts, ReportId, Table, TextId,
    UnitId,
};
use crate::ledger::Stays;
use crate::report::LotKnown;
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
        /// The item's serial number belongs to it, and it is of the item reported.
        Serial = "serial",
        /// The label is the lot's number but for case, separators and look-alike characters.
        LookAlike = "look-alike",
        /// The only lot issued to that unit by then that is near the label or, where signs of it could not be read, that
        /// fits what could. A guess.
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

const UNRESOLVED: Resolved = Resolved { lot: None, how: Resolution::Unresolved };

/// What decides a label but for the day: the same text from the same unit about the same item always means the same lots.
type LabelKey = (LotTextId, UnitId, PartId, Beside);

/// What else a label says: with the number it tells lots apart whose numbers are the same.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
struct Beside {
    maker: Option<MakerId>,
    contract: Option<TextId>,
    made_month: Option<Day>,
    /// Whether it is said that it could not be read: its text is a part of a number, and may be that of another lot.
    unreadable: bool,
}

/// What a label means.
#[derive(Clone, Debug)]
enum Meaning {
    /// The same on any day.
    Always(Resolved),
    /// The only one of these that the unit had by the day, each with the first day it did; no lot for one that is not to be taken.
    OnlyOf(Vec<(Day, Option<LotId>)>, Resolution),
}

impl Meaning {
    fn on(&self, day: Day) -> Resolved {
        let (lots, how) = match self {
            Self::Always(resolved) => return *resolved,
            Self::OnlyOf(lots, how) => (lots, *how),
        };
        let mut there = lots.iter().filter(|(since, _)| *since <= day);
        match (there.next(), there.next()) {
            (Some(&(_, Some(lot))), None) => Resolved { lot: Some(lot), how },
            _ => UNRESOLVED,
        }
    }
}

/// Finds lots from labels, as known on a date. The field is handed in with each question: it may have gained reports since.
#[derive(Debug)]
pub struct Labels {
    by_look: HashMap<Box<str>, Vec<LotId>>,
    look_of: Table<LotId, Box<str>>,
    issued: IssuedLots,
    serials: Stays,
    /// Makers that have lots on record.
    makers: FxHashSet<MakerId>,
    /// Contracts that have lots on record.
    contracts: FxHashSet<TextId>,
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
        let issued = IssuedLots::new(field, as_of, &look_of);
        let makers = field.lots.iter().filter_map(|(_, lot)| lot.maker).collect();
        let contracts = field.lots.iter().filter_map(|(_, lot)| lot.contract).collect();
        Self { by_look, look_of, issued, serials: Stays::new(field), makers, contracts }
    }

    /// The lots of all reports, in their order.
    pub fn resolve_all(&self, field: &Field) -> Vec<Resolved> {
        let reports = &field.reports;
        let mut distinct: Vec<LabelKey> = reports.values().filter_map(key).collect();
        distinct.par_sort_unstable();
        distinct.dedup();
        let texts: Vec<Meaning> = distinct.par_iter().map(|&key| self.by_text(field, key)).collect();
        let known: FxHashMap<LabelKey, Meaning> = distinct.into_iter().zip(texts).collect();
        let ids = (0..reports.len()).into_par_iter().map(ReportId::from_index);
        ids.map(|id| self.choose(&reports[id], |key| known[&key].on(reports[id].found_on))).collect()
    }

    /// The lot of one report.
    pub fn resolve(&self, field: &Field, report: &ReportFacts) -> Resolved {
        self.choose(report, |key| self.by_text(field, key).on(report.found_on))
    }

    /// What an unresolved label could be: where signs of it could not be read, lots issued to the unit that fit what could;
    /// else lots that look the same; else those issued to the unit that are near, nearest first.
    pub fn candidates(&self, field: &Field, report: &ReportFacts) -> Vec<LotId> {
        let Some((text, unit, item, beside)) = key(report) else { return Vec::new() };
        let text = &field.lot_texts[text];
        let look = normalised(text);
        let legible = Legible::of(text);
        if !look.is_empty() && (beside.unreadable || legible.is_patchy()) {
            let fitting: Vec<LotId> =
                self.fitting(field, &legible, unit, item).map(|issued| issued.lot).collect();
            if !fitting.is_empty() {
                return fitting;
            }
        }
        let same = self.looking_like(field, &look, item);
        if same.is_empty() {
            self.near(&look, unit, item).into_iter().map(|(_, issued)| issued.lot).collect()
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
        if let Some(lot) = self.serials.lot_reported(report) {
            return Resolved { lot: Some(lot), how: Resolution::Serial };
        }
        text.unwrap_or(Resolved { lot: None, how: Resolution::NoLabel })
    }

    fn by_text(&self, field: &Field, (text, unit, item, beside): LabelKey) -> Meaning {
        let text = &field.lot_texts[text];
        let exact = if beside.unreadable { None } else { self.as_written(field, text, item, beside) };
        if exact.is_some() {
            return Meaning::Always(Resolved { lot: exact, how: Resolution::Exact });
        }
        let look = normalised(text);
        if look.is_empty() {
            return Meaning::Always(Resolved { lot: None, how: Resolution::NoLabel });
        }
        let legible = Legible::of(text);
        let mut alike = self.looking_like(field, &look, item);
        alike.retain(|&lot| !legible.is_patchy() || legible.is_written_as(&field.lots[lot].lot_no));
        // A part of a number is no lot's number, also where it reads like one.
        if beside.unreadable || (legible.is_patchy() && alike.is_empty()) {
            let fitting = self.fitting(field, &legible, unit, item);
            let agreeing = fitting.filter(|issued| self.agrees(field, issued.lot, beside));
            let lots = agreeing.map(|issued| (issued.since, Some(issued.lot))).collect();
            return Meaning::OnlyOf(lots, Resolution::Nearest);
        }
        let any_alike = !alike.is_empty();
        let same = self.told_apart(field, alike, beside);
        match same.as_slice() {
            [lot] => Meaning::Always(Resolved { lot: Some(*lot), how: Resolution::LookAlike }),
            [] if any_alike => Meaning::Always(UNRESOLVED),
            // It is the number of another item: whether that or the item was misread, nobody knows.
            [] if self.by_look.contains_key(look.as_str()) => Meaning::Always(UNRESOLVED),
            [] => {
                let near = self.near(&look, unit, item).into_iter().map(|(_, issued)| issued);
                let agreeing = near.filter(|issued| self.agrees(field, issued.lot, beside));
                let guess =
                    |lot: LotId| Some(lot).filter(|&lot| !running_neighbours(text, &field.lots[lot].lot_no));
                let lots = agreeing.map(|issued| (issued.since, guess(issued.lot))).collect();
                Meaning::OnlyOf(lots, Resolution::Nearest)
            }
            several => {
                let here = self.issued.at(unit, item).iter().filter(|issued| several.contains(&issued.lot));
                let lots = here.map(|issued| (issued.since, Some(issued.lot))).collect();
                Meaning::OnlyOf(lots, Resolution::LookAlike)
            }
        }
    }

    /// The lot of the item whose number the text is.
    fn as_written(&self, field: &Field, text: &str, item: PartId, beside: Beside) -> Option<LotId> {
        let of_item = |lot: &LotId| field.part_of_lot(*lot) == item;
        match field.lot_keys.find(text, beside.maker) {
            Found::One(lot) => Some(lot).filter(of_item),
            Found::Several => {
                let lots = field.lot_keys.all(text).filter(of_item).collect();
                Some(self.told_apart(field, lots, beside)).filter(|lots| lots.len() == 1).map(|lots| lots[0])
            }
            Found::Nothing => None,
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

    /// Whether nothing that the label says beside the number contradicts a lot whose number it does not give. A maker or a
    /// contract without lots on record may be another spelling.
    fn agrees(&self, field: &Field, lot: LotId, beside: Beside) -> bool {
        let facts = &field.lots[lot];
        let maker = beside.maker.filter(|maker| self.makers.contains(maker));
        let contract = beside.contract.filter(|contract| self.contracts.contains(contract));
        let month = beside.made_month.map(Day::month);
        maker.is_none_or(|maker| facts.maker.is_none_or(|own| own == maker))
            && contract.is_none_or(|contract| facts.contract.is_none_or(|own| own == contract))
            && month.is_none_or(|month| facts.made_on.is_none_or(|made| made.month() == month))
    }

    /// Of the lots of the item ever issued to the unit, those that fit what could be read of a label.
    fn fitting(
        &self,
        field: &Field,
        legible: &Legible,
        unit: UnitId,
        item: PartId,
    ) -> impl Iterator<Item = &Issued> {
        let read = legible.characters();
        self.issued.at(unit, item).iter().filter(move |issued| {
            read & !issued.characters == 0
                && legible.may_be_part_of(&field.lots[issued.lot].lot_no, &self.look_of[issued.lot])
        })
    }

    /// Lots of the item ever issued to the unit within the distance allowed, nearest first.
    fn near(&self, look: &str, unit: UnitId, item: PartId) -> Vec<(usize, Issued)> {
        let length = look.chars().count();
        let limit = if length >= LONG_TEXT { 2 } else { 1 };
        let comparator = BatchComparator::new(look.chars());
        let args = Args::default().score_cutoff(limit);
        let mine = characters(look);
        let mut near: Vec<(usize, Issued)> = self
            .issued
            .at(unit, item)
            .iter()
            // One edit takes out at most one character and brings in one.
            .filter(|issued| (issued.characters ^ mine).count_ones() as usize <= 2 * limit)
            .filter_map(|&issued| {
                let distance = comparator.distance_with_args(self.look_of[issued.lot].chars(), &args)?;
                Some((distance, issued))
            })
            .collect();
        near.sort_unstable_by_key(|(distance, issued)| (*distance, issued.lot));
        near
    }
}

/// The set of characters of a text, folded into 64 places.
fn characters(text: &str) -> u64 {
    text.chars().fold(0, |set, c| set | 1 << (u32::from(c) % 64))
}

fn key(report: &ReportFacts) -> Option<LabelKey> {
    let beside = Beside {
        maker: report.maker,
        contract: report.contract,
        made_month: report.made_month,
        unreadable: report.lot_known == Some(LotKnown::Unreadable),
    };
    report.lot_text.map(|text| (text, report.unit, report.item, beside))
}
