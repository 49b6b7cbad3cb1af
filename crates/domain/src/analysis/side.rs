//! On which side of a change a lot stands: before, after, mixed, or on neither.

use std::collections::HashMap;

use super::holders::Holders;
use crate::effectivity::Stage;
use crate::field::{ChangeFacts, EffectivityFacts, Field, Found, LotId, PartId};
use crate::ledger::{Ledger, Spell};
use crate::lot::LotPurpose;

/// The side of a lot or of items.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Side {
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
pub(super) struct Sides<'a> {
    field: &'a Field,
    change: &'a ChangeFacts,
    by_lot: Vec<Side>,
}

impl<'a> Sides<'a> {
    pub(super) fn new(field: &'a Field, change: &'a ChangeFacts) -> Self {
        let named = named_shares(field, change);
        let (old, new) = (Holders::of_revision(field, change.from), Holders::of_revision(field, change.to));
        let by_structure = |lot: LotId| {
            let facts = &field.lots[lot];
            match (old.has(facts.revision, facts.size), new.has(facts.revision, facts.size)) {
                (true, false) => Some(0.0),
                (false, true) => Some(1.0),
                _ => None,
            }
        };
        let mut by_lot = Vec::with_capacity(field.lots.len());
        for (lot, facts) in field.lots.iter() {
            let share = named
                .get(&lot)
                .copied()
                .or_else(|| share_by_lineage(field, change.part, lot, &named, &by_structure))
                .or_else(|| by_structure(lot));
            let counts = !matches!(facts.purpose, LotPurpose::Pilot | LotPurpose::Trial);
            by_lot.push(share.filter(|_| counts).map_or(Side::Neither, Side::of_share));
        }
        Self { field, change, by_lot }
    }

    pub(super) fn of_lot(&self, lot: LotId) -> Side {
        self.by_lot[crate::field::Id::index(lot)]
    }

    /// The side of the items of a spell: of their lot, or of the new part where the part was replaced. A new part of
    /// unknown lot in a lot from before is on neither side.
    pub(super) fn of_spell(&self, ledger: &Ledger, spell: &Spell) -> Side {
        let Some(lot) = spell.lot() else { return Side::Neither };
        let side = self.of_lot(lot);
        match ledger.clocks.of(spell.clocks, self.change.part) {
            None => side,
            Some(restart) => match restart.new_lot.map(|lot| self.field.lots[lot].revision) {
                Some(revision) if revision == self.change.to => Side::After,
                Some(revision) if revision == self.change.from => Side::Before,
                None if side == Side::After => Side::After,
                _ => Side::Neither,
            },
        }
    }

    /// The side of what failed: that of most of the lot's items at the unit on that day.
    pub(super) fn of_failure(&self, ledger: &Ledger, lot: LotId, report: &crate::field::ReportFacts) -> Side {
        let stock = crate::field::Stock::Lot(lot);
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

/// Shares of lots that the change's records name: as accomplished, else as approved.
fn named_shares(field: &Field, change: &ChangeFacts) -> HashMap<LotId, f64> {
    let at = |stage| change.effectivity.iter().filter(move |e| e.stage == stage);
    let stage = if at(Stage::Accomplished).next().is_some() { Stage::Accomplished } else { Stage::Approved };
    let mut shares = HashMap::new();
    for row in at(stage) {
        for lot in lots_in_range(field, row) {
            shares.insert(lot, row.share_new);
        }
    }
    if shares.is_empty()
        && let Some(first) = change.cut_in_lot
    {
        // Only a first lot is named: it and the later ones of its maker, where their revisions don't tell.
        let facts = &field.lots[first];
        if !Holders::of_revision(field, change.to).has(facts.revision, facts.size) {
            let row = EffectivityFacts {
                stage,
                maker: facts.maker,
                from_lot: Some(facts.lot_no.clone()),
                to_lot: None,
                share_new: 1.0,
                from_date: None,
            };
            shares.extend(lots_in_range(field, &row).into_iter().map(|lot| (lot, 1.0)));
        }
    }
    shares
}

/// Lots of one range: same part as its first (or last) lot, that maker's, numbers in the order a person counts.
fn lots_in_range(field: &Field, row: &EffectivityFacts) -> Vec<LotId> {
    let end = row.from_lot.as_deref().or(row.to_lot.as_deref());
    let Some(Found::One(known)) = end.map(|lot_no| field.lot_keys.find(lot_no, row.maker)) else {
        return Vec::new();
    };
    let part = field.part_of_lot(known);
    let maker = row.maker.or(field.lots[known].maker);
    let (from, to) = (row.from_lot.as_deref().map(counted), row.to_lot.as_deref().map(counted));
    field
        .lots
        .iter()
        .filter(|(lot, facts)| field.part_of_lot(*lot) == part && facts.maker == maker)
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

/// The share of a lot by the lots of the changed part it was made from, however many steps back: by what was used of each,
/// or in equal parts where that isn't known of all of them.
fn share_by_lineage(
    field: &Field,
    part: PartId,
    lot: LotId,
    named: &HashMap<LotId, f64>,
    by_structure: &impl Fn(LotId) -> Option<f64>,
) -> Option<f64> {
    let mut made_from: Vec<(f64, Option<f64>)> = Vec::new();
    let mut todo = field.lots[lot].used.clone();
    let mut seen = std::collections::HashSet::new();
    while let Some((used, quantity)) = todo.pop() {
        if !seen.insert(used) {
            continue;
        }
        if field.part_of_lot(used) == part {
            let share = named.get(&used).copied().or_else(|| by_structure(used))?;
            made_from.push((share, quantity));
        } else {
            todo.extend(field.lots[used].used.iter().copied());
        }
    }
    let all_known = made_from.iter().all(|(_, quantity)| quantity.is_some());
    let weight = |quantity: Option<f64>| quantity.filter(|_| all_known).unwrap_or(1.0);
    let all: f64 = made_from.iter().map(|&(_, quantity)| weight(quantity)).sum();
    let new: f64 = made_from.iter().map(|&(share, quantity)| share * weight(quantity)).sum();
    (all > 0.0).then(|| new / all)
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
