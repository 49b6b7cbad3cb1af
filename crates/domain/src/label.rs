//! Lots from labels: finds the lot that a reporter's few characters mean, or says which it could be.

mod could_be;
mod issued;
mod legible;
mod look_alike;
mod near;

use std::collections::HashMap;

use rayon::prelude::*;
use rustc_hash::FxHashSet;

use issued::IssuedLots;
use legible::{Legible, Number};
pub use look_alike::{normalised, running_neighbours};
pub use near::{LotCandidate, Told, lot_candidates};

use crate::field::{
    Day, Field, Id as _, LotId, LotTextId, MakerId, PartId, ReportFacts, ReportId, Table, TextId, UnitId,
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
    number_of: Table<LotId, Number>,
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
        let (mut look_of, mut number_of) = (Table::default(), Table::default());
        for (id, lot) in field.lots.iter() {
            let look: Box<str> = normalised(&lot.lot_no).into();
            by_look.entry(look.clone()).or_default().push(id);
            look_of.push(look);
            number_of.push(Number::of(&lot.lot_no));
        }
        let issued = IssuedLots::new(field, as_of, &look_of);
        let makers = field.lots.iter().filter_map(|(_, lot)| lot.maker).collect();
        let contracts = field.lots.iter().filter_map(|(_, lot)| lot.contract).collect();
        Self { by_look, look_of, number_of, issued, serials: Stays::new(field), makers, contracts }
    }

    /// The lots of all reports, in their order. Each label is read once, however many reports bear it.
    pub fn resolve_all(&self, field: &Field) -> Vec<Resolved> {
        let reports = &field.reports;
        let label = |(id, report): (ReportId, &ReportFacts)| Some((key(report)?, report.found_on, id));
        let mut labels: Vec<(LabelKey, Day, ReportId)> = reports.iter().filter_map(label).collect();
        labels.par_sort_unstable();
        let read = |same: &[(LabelKey, Day, ReportId)]| {
            let meaning = self.by_text(field, same[0].0);
            same.iter().map(|&(_, day, id)| (id, meaning.on(day))).collect::<Vec<_>>()
        };
        let read: Vec<(ReportId, Resolved)> =
            labels.par_chunk_by(|a, b| a.0 == b.0).flat_map_iter(read).collect();
        let mut by_text = vec![None; reports.len()];
        for (id, resolved) in read {
            by_text[id.index()] = Some(resolved);
        }
        let ids = (0..reports.len()).into_par_iter().map(ReportId::from_index);
        ids.map(|id| self.choose(&reports[id], || by_text[id.index()])).collect()
    }

    /// The lot of one report.
    pub fn resolve(&self, field: &Field, report: &ReportFacts) -> Resolved {
        self.choose(report, || key(report).map(|key| self.by_text(field, key).on(report.found_on)))
    }

    /// What an unresolved label could be: where signs of it could not be read, lots issued to the unit that fit what could;
    /// else lots that look the same; else those issued to the unit that are near, nearest first.
    pub fn candidates(&self, field: &Field, report: &ReportFacts) -> Vec<LotId> {
        let Some((text, unit, item, beside)) = key(report) else { return Vec::new() };
        let text = &field.lot_texts[text];
        let look = normalised(text);
        let legible = Legible::of(text);
        if !look.is_empty() && (beside.unreadable || legible.is_patchy()) {
            let fitting: Vec<LotId> = self.fitting(&legible, unit, item).map(|issued| issued.lot).collect();
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

    /// `by_text` is what the label says; `None` without one.
    fn choose(&self, report: &ReportFacts, by_text: impl FnOnce() -> Option<Resolved>) -> Resolved {
        if let Some(lot) = report.lot_chosen {
            return Resolved { lot: Some(lot), how: Resolution::Chosen };
        }
        let text = by_text();
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
        alike.retain(|&lot| !legible.is_patchy() || legible.is_written_as(&self.number_of[lot]));
        // A part of a number is no lot's number, also where it reads like one.
        if beside.unreadable || (legible.is_patchy() && alike.is_empty()) {
            let fitting = self.fitting(&legible, unit, item);
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
