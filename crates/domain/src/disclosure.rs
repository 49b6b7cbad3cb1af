//! A disclosure: what outsiders may have of the reports on one failure, with what was removed, why, and by whose leave.
//!
//! Counts and words leave apart from each other: a table never says which words belong to which cell, and small cells are
//! withheld together with as many others as it takes that nobody can work them out from the total, nor from a table beside.

mod strike;
#[cfg(test)]
mod tests;
mod withhold;

use std::collections::BTreeMap;

use chrono::Datelike as _;

use crate::report::Report;
use crate::words::{Problem, words};

use withhold::adding_up;

pub use strike::{Names, STRUCK, strike};
pub use withhold::withhold;

words! {
    /// What may be removed before reports leave the house.
    pub enum Removal {
        /// Which unit reported: no table by unit.
        Units = "units",
        /// Which lot and maker: no table by lot.
        Lots = "lots",
        /// The reporters' words altogether.
        Narratives = "narratives",
        /// Names, places and numbers in the reporters' words, struck out one by one.
        NamesInNarratives = "names in narratives",
    }
}

/// Smallest count that may be told apart: three is the least that hides a single one from the two beside it.
pub const LEAST_THRESHOLD: u32 = 3;

/// What is to leave, as it was drafted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Disclosure {
    /// The part.
    pub part_no: String,
    /// Its mode of failure.
    pub mode: String,
    /// For whom, in words.
    pub to: String,
    /// What is removed, each with the reason.
    pub removals: Vec<(Removal, String)>,
    /// Words to be struck besides the names of units and people that the program knows.
    pub struck: Vec<String>,
    /// Counts below this are withheld.
    pub threshold: u32,
}

impl Disclosure {
    /// Refuses a removal without a reason, reporters' words that leave unread for names, and a threshold that hides nothing.
    ///
    /// # Errors
    /// The field and what it wants.
    pub fn check(&self) -> Result<(), Problem> {
        if self.to.trim().is_empty() {
            return Err(Problem::new("to", "expected for whom it is"));
        }
        if let Some((removal, _)) = self.removals.iter().find(|(_, reason)| reason.trim().is_empty()) {
            return Err(Problem::new("removals", format!("expected why {removal} are removed")));
        }
        if !self.removes(Removal::Narratives) && !self.removes(Removal::NamesInNarratives) {
            let why = "expected that the words are removed, or that names in them are";
            return Err(Problem::new("removals", why));
        }
        if self.threshold < LEAST_THRESHOLD {
            let why = format!("expected at least {LEAST_THRESHOLD}");
            return Err(Problem::new("threshold", why));
        }
        Ok(())
    }

    /// Whether something is removed.
    pub fn removes(&self, removal: Removal) -> bool {
        self.removals.iter().any(|(removed, _)| *removed == removal)
    }
}

/// A count as it leaves; nothing where it is withheld.
pub type Told = Option<u64>;

/// A table of counts, each row with its words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Counts {
    /// What its rows are: `quarter`, `size`.
    pub by: &'static str,
    /// The rows.
    pub rows: Vec<(String, Told)>,
}

/// What leaves.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Disclosed {
    /// All reports together, items alike counted each.
    pub total: u64,
    /// Tables of counts.
    pub counts: Vec<Counts>,
    /// By what there is no table: its rows would all follow from the total, or counts withheld by lot from its rows.
    pub left_out: Vec<&'static str>,
    /// The reporters' words without what was struck, in the order of the alphabet so that their order tells nothing.
    pub narratives: Vec<String>,
    /// Cells withheld, of the tables that there are.
    pub withheld: u64,
    /// Words and numbers struck.
    pub struck: u64,
}

/// Makes what leaves out of the reports on the failure. `known` are names that the program knows: units and people.
///
/// # Errors
/// Fewer reports than the threshold: then nothing can leave, for the total alone would tell.
pub fn disclose(what: &Disclosure, reports: &[Report], known: &[String]) -> Result<Disclosed, Problem> {
    what.check()?;
    let total: u64 = reports.iter().map(|report| u64::from(report.quantity)).sum();
    if total < u64::from(what.threshold) {
        let why = format!("fewer than {} are on record, so that nothing can leave", what.threshold);
        return Err(Problem::new("threshold", why));
    }
    let unknown = || "not known".to_owned();
    let table = |by: &'static str, key: &dyn Fn(&Report) -> String| {
        let mut counts: BTreeMap<String, u64> = BTreeMap::new();
        for report in reports {
            *counts.entry(key(report)).or_default() += u64::from(report.quantity);
        }
        let told = withhold(&counts.values().copied().collect::<Vec<_>>(), u64::from(what.threshold));
        told.map(|told| Counts { by, rows: counts.into_keys().zip(told).collect() }).ok_or(by)
    };
    let quarter =
        |report: &Report| format!("{} quarter {}", report.found_on.year(), report.found_on.month0() / 3 + 1);
    let mut tables = vec![
        table("quarter", &quarter),
        table("size", &|report| report.size.clone().unwrap_or_else(unknown)),
        table("harm", &|report| report.harm.map_or_else(unknown, |harm| harm.word().replace('_', " "))),
    ];
    if !what.removes(Removal::Lots) {
        tables.push(table("maker", &|report| report.maker.clone().unwrap_or_else(unknown)));
        tables.push(table("lot", &|report| report.lot_text.clone().unwrap_or_else(unknown)));
    }
    if !what.removes(Removal::Units) {
        tables.push(table("unit", &|report| report.unit.clone()));
    }
    let (mut narratives, mut struck) = (Vec::new(), 0);
    if !what.removes(Removal::Narratives) {
        let names = Names::of(known.iter().chain(&what.struck).map(String::as_str));
        for narrative in reports.iter().filter_map(|report| report.narrative.as_deref()) {
            let (text, times) = strike(narrative, &names);
            struck += times;
            narratives.push(text);
        }
        narratives.sort();
    }
    let (mut counts, mut left_out) = (Vec::with_capacity(tables.len()), Vec::new());
    for table in tables {
        match table {
            Ok(table) => counts.push(table),
            Err(by) => left_out.push(by),
        }
    }
    let adding_up = adding_up(&counts);
    counts.retain(|table| !adding_up.contains(&table.by));
    left_out.extend(adding_up);
    let cells = counts.iter().flat_map(|table: &Counts| &table.rows);
    let withheld = cells.filter(|(_, told)| told.is_none()).count() as u64;
    Ok(Disclosed { total, counts, left_out, narratives, withheld, struck })
}
