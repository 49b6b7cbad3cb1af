//! On which side of a change a lot stands: before, after, mixed, or on neither.

use std::collections::HashMap;

use super::holders::Holders;
use crate::change::ChangeState;
use crate::effectivity::Stage;
use crate::field::{ChangeFacts, Day, EffectivityFacts, Field, Found, LotFacts, LotId, PartId, Stock};
use crate::ledger::{ClocksId, Ledger, Restart, Spell};
use crate::lineage::{DEEPEST, shares, used_by_part};
use crate::lot::LotPurpose;

/// The side of a lot or of items.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Side {
    Before,
    After,
    /// Share built to the change, between 0 and 1: on neither side, shown apart.
    Mixed(f64),
    /// Pilot and trial lots, other revisions, and what is not known.
    Neither,
}

impl Side {
    fn of_share(share: f64) -> Self {
        match share {
            s if s <= 0.0 => Self::Before,
            s if s >= 1.0 => Self::After,
            s => Self::Mixed(s),
        }
    }
}

/// The sides of all lots for one change.
pub(crate) struct Sides<'a> {
    field: &'a Field,
    change: &'a ChangeFacts,
    /// What contains the part in any revision.
    holders: Holders,
    by_lot: Vec<Side>,
    /// Lots whose side a day would tell, had they a day of make.
    undated: usize,
}

impl<'a> Sides<'a> {
    pub(crate) fn new(field: &'a Field, change: &'a ChangeFacts) -> Self {
        let (old, new) = (Holders::of_revision(field, change.from), Holders::of_revision(field, change.to));
        let records = Records::new(field, change, (&old, &new));
        let by_structure = |lot: LotId| {
            let facts = &field.lots[lot];
            match (old.has(facts.revision, facts.size), new.has(facts.revision, facts.size)) {
                (true, false) => Some(0.0),
                (false, true) => Some(1.0),
                _ => None,
            }
        };
        let of_part =
            |lot: LotId| records.told.get(&lot).map(|told| told.share).or_else(|| by_structure(lot));
        let mut lineage = ByLineage { field, part: change.part, of_part, known: HashMap::new() };
        let mut by_lot = Vec::with_capacity(field.lots.len());
        let mut undated = 0;
        for (lot, facts) in field.lots.iter() {
            let on_record = match records.told.get(&lot) {
                Some(told) if !told.by_day => Some(told.share),
                // What a lot was made from says more of it than the day it was made.
                told => lineage.share(lot).or_else(|| told.map(|told| told.share)),
            };
            let share = on_record.or_else(|| by_structure(lot));
            let counts = !matches!(facts.purpose, LotPurpose::Pilot | LotPurpose::Trial);
            let differs = |since: &f64| share != Some(*since);
            if counts && on_record.is_none() && records.undated.get(&lot).is_some_and(differs) {
                undated += 1;
            }
            by_lot.push(share.filter(|_| counts).map_or(Side::Neither, Side::of_share));
        }
        Self { field, change, holders: Holders::of_part(field, change.part), by_lot, undated }
    }

    pub(super) fn of_lot(&self, lot: LotId) -> Side {
        self.by_lot[crate::field::Id::index(lot)]
    }

    /// The side of items: of their lot, or of the new part where the part was replaced, by itself or with an assembly that
    /// holds it. A new part of unknown lot in items that don't have the change by their own lot is on neither side.
    pub(crate) fn of_items(&self, ledger: &Ledger, stock: Stock, clocks: ClocksId) -> Side {
        let made = match stock {
            Stock::Lot(lot) => self.of_lot(lot),
            Stock::Unknown(..) => Side::Neither,
        };
        let Some(restart) =
            ledger.clocks.of(clocks, self.change.part).filter(|restart| !restart.by_conversion)
        else {
            return made;
        };
        let new_part = restart.new_lot.map(|lot| self.of_lot(lot));
        match new_part.or_else(|| self.of_exchanged(ledger.clocks.all(clocks), restart)) {
            Some(side) => side,
            None if made == Side::After => Side::After,
            None => Side::Neither,
        }
    }

    /// The side on which the time of a spell counts. Failures of items of unknown lot are on no side, so their time isn't
    /// either, whatever part they were given.
    pub(super) fn of_spell(&self, ledger: &Ledger, spell: &Spell) -> Side {
        match spell.stock {
            Stock::Lot(_) => self.of_items(ledger, spell.stock, spell.clocks),
            Stock::Unknown(..) => Side::Neither,
        }
    }

    /// The side of the assemblies that brought a new part, exchanged on the same day: on neither where they differ.
    fn of_exchanged(&self, restarts: &[Restart], part: Restart) -> Option<Side> {
        let same_day = restarts.iter().filter(|other| other.at_age_days == part.at_age_days);
        let lots = same_day.filter_map(|other| other.new_lot);
        let with_part = lots.filter(|&lot| self.holders.has_stock(self.field, Stock::Lot(lot)));
        let mut sides = with_part.map(|lot| self.of_lot(lot));
        let first = sides.next()?;
        Some(if sides.all(|side| side == first) { first } else { Side::Neither })
    }

    /// The side of what failed: that of most of the lot's items at the unit on that day.
    pub(super) fn of_failure(&self, ledger: &Ledger, lot: LotId, report: &crate::field::ReportFacts) -> Side {
        let stock = Stock::Lot(lot);
        let key = |s: &Spell| (s.stock, s.unit);
        let from = ledger.spells.partition_point(|s| key(s) < (stock, report.unit));
        let spells = ledger.spells[from..].iter().take_while(|s| key(s) == (stock, report.unit));
        let (mut before, mut after) = (0u64, 0u64);
        let mut replaced = false;
        for spell in spells.filter(|s| s.from <= report.found_on && report.found_on <= s.to) {
            replaced |= ledger.clocks.of(spell.clocks, self.change.part).is_some();
            match self.of_spell(ledger, spell) {
                Side::Before => before += u64::from(spell.quantity),
                Side::After => after += u64::from(spell.quantity),
                Side::Mixed(_) | Side::Neither => {}
            }
        }
        match (replaced, before.cmp(&after)) {
            (false, _) => self.of_lot(lot),
            (true, std::cmp::Ordering::Greater) => Side::Before,
            (true, std::cmp::Ordering::Less) => Side::After,
            (true, std::cmp::Ordering::Equal) => Side::Neither,
        }
    }
}

/// What a reader is told of a change that takes effect from a day on, where lots of unknown day of make can't be placed by it.
pub(super) fn undated(field: &Field, change: &ChangeFacts) -> Option<String> {
    change.effectivity.iter().find_map(day_alone)?;
    let lots = Sides::new(field, change).undated;
    (lots > 0).then(|| {
        format!(
            "{}: {lots} lots don't say when they were made, so the day from which it was built doesn't tell their side; they count \
             by their revision.",
            change.change_no
        )
    })
}

/// The day of a row that names no lot.
fn day_alone(row: &EffectivityFacts) -> Option<Day> {
    row.from_date.filter(|_| row.from_lot.is_none() && row.to_lot.is_none())
}

/// The share of a lot by a row of the change's records.
#[derive(Clone, Copy)]
struct Told {
    share: f64,
    /// Whether the row names a day, and no lot.
    by_day: bool,
}

/// What the change's records say of lots: as accomplished, else as approved. Of days that differ about a lot the latest counts, and
/// a row that names lots counts before any day.
#[derive(Default)]
struct Records {
    told: HashMap<LotId, Told>,
    /// The shares of lots of unknown day of make, had they been made since the day of a row.
    undated: HashMap<LotId, f64>,
}

impl Records {
    fn new(field: &Field, change: &ChangeFacts, holders: (&Holders, &Holders)) -> Self {
        let at = |stage| change.effectivity.iter().filter(move |e| e.stage == stage);
        let stage =
            if at(Stage::Accomplished).next().is_some() { Stage::Accomplished } else { Stage::Approved };
        // A day approved is a plan until lots are built, and a first lot says better.
        let is_built = change.state.is_some_and(ChangeState::is_built);
        let days_count = stage == Stage::Accomplished || (is_built && change.cut_in_lot.is_none());
        let mut records = Self::default();
        let mut by_day: Vec<(Day, &EffectivityFacts)> =
            at(stage).filter(|_| days_count).filter_map(|row| Some((day_alone(row)?, row))).collect();
        by_day.sort_by(|(day, row), (other_day, other)| {
            (day, row.maker.is_some())
                .cmp(&(other_day, other.maker.is_some()))
                .then(row.share_new.total_cmp(&other.share_new))
        });
        for (from, row) in by_day {
            records.tell_since(field, change.part, (row, from), holders);
        }
        let mut is_numbered = false;
        for row in at(stage) {
            for lot in lots_in_range(field, row, holders) {
                records.told.insert(lot, Told { share: row.share_new, by_day: false });
                is_numbered = true;
            }
        }
        if !is_numbered && let Some(first) = change.cut_in_lot {
            records.tell_from_first(field, first, stage, holders);
        }
        records
    }

    /// Lots of a row's maker, or of any, made from its day on, of items that hold the part before or after the change. Where
    /// an item has a revision for the change, its lots of the old one stay before: a lot's revision says more than its day.
    fn tell_since(
        &mut self,
        field: &Field,
        changed: PartId,
        (row, from): (&EffectivityFacts, Day),
        (old, new): (&Holders, &Holders),
    ) {
        for (lot, facts) in field.lots.iter() {
            let part = field.part_of_lot(lot);
            // Lots of a component are wholly of one revision or the other, whatever share of the items got them.
            let is_component = part == changed && !field.is_item(part);
            let has_revision = || field.parts[part].revisions.iter().any(|&revision| new.has(revision, None));
            let is_meant = new.has(facts.revision, facts.size)
                || (old.has(facts.revision, facts.size) && !has_revision());
            let by_maker = row.maker.is_none_or(|maker| facts.maker == Some(maker));
            if is_component || !is_meant || !by_maker {
                continue;
            }
            match facts.made_on {
                Some(made) if made >= from => {
                    self.told.insert(lot, Told { share: row.share_new, by_day: true });
                }
                Some(_) => {}
                None => {
                    self.undated.insert(lot, row.share_new);
                }
            }
        }
    }

    /// Only a first lot is named: it and the later ones of its maker, where their revisions don't tell. Earlier ones of that
    /// maker came before it, whatever a day says.
    fn tell_from_first(&mut self, field: &Field, first: LotId, stage: Stage, holders: (&Holders, &Holders)) {
        let facts = &field.lots[first];
        if holders.1.has(facts.revision, facts.size) {
            return;
        }
        let row = EffectivityFacts {
            stage,
            maker: facts.maker,
            from_lot: Some(facts.lot_no.clone()),
            to_lot: None,
            share_new: 1.0,
            from_date: None,
        };
        let lots = lots_in_range(field, &row, holders);
        if !lots.is_empty() {
            let part = field.part_of_lot(first);
            let others = |lot: LotId| field.part_of_lot(lot) != part || field.lots[lot].maker != facts.maker;
            self.told.retain(|&lot, _| others(lot));
            self.undated.retain(|&lot, _| others(lot));
        }
        self.told.extend(lots.into_iter().map(|lot| (lot, Told { share: 1.0, by_day: false })));
    }
}

/// Lots of one range: same part as its first (or last) lot, that maker's, numbers in the order a person counts. Where the range
/// is open at its end and its first lot is of a revision with the part as it is after, no lots of revisions with the part as it
/// was before: an old lot may have a number that comes later.
fn lots_in_range(field: &Field, row: &EffectivityFacts, (old, new): (&Holders, &Holders)) -> Vec<LotId> {
    let end = row.from_lot.as_deref().or(row.to_lot.as_deref());
    let Some(Found::One(known)) = end.map(|lot_no| field.lot_keys.find(lot_no, row.maker)) else {
        return Vec::new();
    };
    let part = field.part_of_lot(known);
    let maker = row.maker.or(field.lots[known].maker);
    let is_new = |facts: &LotFacts| new.has(facts.revision, facts.size);
    let is_old = |facts: &LotFacts| old.has(facts.revision, facts.size) && !is_new(facts);
    let by_revision = row.to_lot.is_none() && is_new(&field.lots[known]);
    let (from, to) = (row.from_lot.as_deref().map(counted), row.to_lot.as_deref().map(counted));
    field
        .lots
        .iter()
        .filter(|(lot, facts)| field.part_of_lot(*lot) == part && facts.maker == maker)
        .filter(|(_, facts)| !(by_revision && is_old(facts)))
        .filter(|(_, facts)| {
            let number = counted(&facts.lot_no);
            from.as_ref().is_none_or(|from| *from <= number) && to.as_ref().is_none_or(|to| number <= *to)
        })
        .map(|(lot, _)| lot)
        .collect()
}

/// A lot number as a person counts: runs of digits by value.
fn counted(lot_no: &str) -> Vec<(u64, String)> {
    let mut pieces = Vec::new();
    let mut rest = lot_no;
    while !rest.is_empty() {
        let text_end = rest.find(|c: char| c.is_ascii_digit()).unwrap_or(rest.len());
        let (text, digits) = rest.split_at(text_end);
        let digits_end = digits.find(|c: char| !c.is_ascii_digit()).unwrap_or(digits.len());
        let (number, after) = digits.split_at(digits_end);
        pieces.push((0, text.to_uppercase()));
        pieces.push((number.parse().unwrap_or(u64::MAX), String::new()));
        rest = after;
    }
    pieces
}

/// What a lot has of the changed part.
#[derive(Clone, Copy)]
enum Made {
    /// Nothing that is on record.
    Without,
    /// The part, of lots whose side isn't known.
    Unknown,
    /// Share of its items with the part as it is after.
    Share(f64),
}

/// Shares of lots by the lots of the changed part they were made from, however many steps back.
struct ByLineage<'a, S> {
    field: &'a Field,
    part: PartId,
    /// The share of a lot of the part itself.
    of_part: S,
    known: HashMap<LotId, Made>,
}

impl<S: Fn(LotId) -> Option<f64>> ByLineage<'_, S> {
    /// The share of a lot made from others; `None` where it isn't known.
    fn share(&mut self, lot: LotId) -> Option<f64> {
        match self.of_used(lot, DEEPEST) {
            Made::Share(share) => Some(share),
            Made::Without | Made::Unknown => None,
        }
    }

    fn made(&mut self, lot: LotId, left: usize) -> Made {
        if self.field.part_of_lot(lot) == self.part {
            return (self.of_part)(lot).map_or(Made::Unknown, Made::Share);
        }
        if let Some(&known) = self.known.get(&lot) {
            return known;
        }
        let made = self.of_used(lot, left);
        self.known.insert(lot, made);
        made
    }

    /// Lots of one part share a lot as lineage has it; of several parts that hold the changed one, each counts the same.
    fn of_used(&mut self, lot: LotId, left: usize) -> Made {
        if left == 0 {
            return Made::Without;
        }
        let (mut places, mut new) = (0u32, 0.0);
        for lots in used_by_part(self.field, lot).into_values() {
            let quantities: Vec<Option<f64>> = lots.iter().map(|used| used.1).collect();
            let (mut with, mut with_new) = (0.0, 0.0);
            for (&(used, _), part_of_it) in lots.iter().zip(shares(&quantities)) {
                match self.made(used, left - 1) {
                    Made::Without => {}
                    Made::Unknown => return Made::Unknown,
                    Made::Share(share) => {
                        with += part_of_it;
                        with_new += part_of_it * share;
                    }
                }
            }
            if with > 0.0 {
                places += 1;
                new += with_new / with;
            }
        }
        if places == 0 { Made::Without } else { Made::Share(new / f64::from(places)) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lots_count_as_a_person_counts() {
        assert!(counted("L-9") < counted("L-10"));
        assert!(counted("A-14") < counted("A-14B") && counted("A-14B") < counted("A-15"));
        assert!(counted("t7") == counted("T7"));
    }
}
