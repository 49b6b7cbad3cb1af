//! What a change's records say of lots: which are named, by number or by the day since which they were made.

use std::collections::HashMap;

use crate::analysis::holders::Holders;
use crate::change::ChangeState;
use crate::effectivity::{Stage, counted};
use crate::field::{ChangeFacts, Day, EffectivityFacts, Field, Found, LotFacts, LotId, PartId};

/// The day of a row that names no lot.
pub(super) fn day_alone(row: &EffectivityFacts) -> Option<Day> {
    row.from_date.filter(|_| row.from_lot.is_none() && row.to_lot.is_none())
}

/// The share of a lot by a row of the change's records.
#[derive(Clone, Copy)]
pub(super) struct Told {
    pub(super) share: f64,
    /// Whether the row names a day, and no lot.
    pub(super) by_day: bool,
}

/// What the change's records say of lots: as accomplished, else as approved. Of days that differ about a lot the latest counts, and
/// a row that names lots counts before any day.
#[derive(Default)]
pub(super) struct Records {
    pub(super) told: HashMap<LotId, Told>,
    /// The shares of lots of unknown day of make, had they been made since the day of a row.
    pub(super) undated: HashMap<LotId, f64>,
}

impl Records {
    pub(super) fn new(field: &Field, change: &ChangeFacts, holders: (&Holders, &Holders)) -> Self {
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
