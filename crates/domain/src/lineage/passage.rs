//! How much of other lots contains one lot, by every way through the lineage.

use std::collections::{BTreeSet, HashMap};

use super::DEEPEST;
use super::content::{Content, Group};
use crate::field::{Field, Id as _, LotId, PartId, RevisionId, SizeId};
use crate::ledger::changed_parts;

/// Items converted more often than this are not followed further back.
const MOST_CONVERSIONS: usize = 4;

/// What is known of one lot: how much of it contains the lot in question, and how much of that went in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Passed {
    pub(super) content: Content,
    /// Quantity of the lot in question that is in this lot, in its own unit; `None` where it is not on record.
    pub(super) amount: Option<f64>,
}

impl Passed {
    const NOTHING: Self = Self { content: Content::NOTHING, amount: Some(0.0) };
}

/// The lots that can contain the lot in question: no other is looked into.
pub(super) struct Scope(Vec<bool>);

impl Scope {
    pub(super) fn new(field: &Field, lots: impl IntoIterator<Item = LotId>) -> Self {
        let mut has = vec![false; field.lots.len()];
        for lot in lots {
            has[lot.index()] = true;
        }
        Self(has)
    }

    pub(super) fn has(&self, lot: LotId) -> bool {
        self.0[lot.index()]
    }
}

/// The ways of one lot into others.
pub(super) struct Passage<'a> {
    field: &'a Field,
    of: LotId,
    scope: &'a Scope,
    found: HashMap<Asked, Passed>,
}

/// A lot, the parts that were replaced, and how many steps and conversions may still be followed: with fewer, the answer is
/// another one.
type Asked = (LotId, BTreeSet<PartId>, usize, usize);

impl<'a> Passage<'a> {
    pub(super) fn new(field: &'a Field, of: LotId, scope: &'a Scope) -> Self {
        Self { field, of, scope, found: HashMap::new() }
    }

    /// How a lot contains the lot in question.
    pub(super) fn into(&mut self, lot: LotId) -> Passed {
        self.without(lot, &BTreeSet::new())
    }

    /// The same for items of a lot whose parts of some numbers were replaced.
    pub(super) fn without(&mut self, lot: LotId, replaced: &BTreeSet<PartId>) -> Passed {
        self.walk(lot, replaced, DEEPEST, MOST_CONVERSIONS)
    }

    fn walk(&mut self, lot: LotId, replaced: &BTreeSet<PartId>, left: usize, conversions: usize) -> Passed {
        if lot == self.of {
            return Passed { content: Content::ALL, amount: basis(self.field, lot) };
        }
        if left == 0 || !self.is_in_scope(lot) {
            return Passed::NOTHING;
        }
        let key = (lot, replaced.clone(), left, conversions);
        if let Some(found) = self.found.get(&key) {
            return *found;
        }
        let made = self.by_parts(lot, replaced, left, conversions);
        let became = if conversions == 0 {
            Passed::NOTHING
        } else {
            self.by_conversion(lot, replaced, left, conversions - 1)
        };
        let content = made.content.or(became.content).within(items_of(self.field, lot));
        let passed = Passed { content, amount: add(made.amount, became.amount) };
        self.found.insert(key, passed);
        passed
    }

    fn is_in_scope(&self, lot: LotId) -> bool {
        lot == self.of || self.scope.has(lot)
    }

    fn by_parts(
        &mut self,
        lot: LotId,
        replaced: &BTreeSet<PartId>,
        left: usize,
        conversions: usize,
    ) -> Passed {
        let facts = &self.field.lots[lot];
        let part_of = |used: &(LotId, Option<f64>)| self.field.part_of_lot(used.0);
        // Most of what a lot was made from has nothing to do with the lot in question.
        let concerned: BTreeSet<PartId> =
            facts.used.iter().filter(|used| self.is_in_scope(used.0)).map(part_of).collect();
        let mut whole = Passed::NOTHING;
        for part in concerned.into_iter().filter(|part| !replaced.contains(part)) {
            let mut group = Vec::new();
            for &(from, quantity) in facts.used.iter().filter(|used| part_of(used) == part) {
                let below = self.walk(from, replaced, left - 1, conversions);
                whole.amount = add(whole.amount, self.portion(from, below, quantity));
                group.push((quantity, below.content));
            }
            let pieces = pieces_of(self.field, facts.revision, facts.size, part);
            let group = Group { items: items_of(self.field, lot), pieces, used: group };
            whole.content = whole.content.or(group.content());
        }
        whole
    }

    /// Items of other lots that became this one keep the parts that were not replaced.
    fn by_conversion(
        &mut self,
        lot: LotId,
        replaced: &BTreeSet<PartId>,
        left: usize,
        conversions: usize,
    ) -> Passed {
        let facts = &self.field.lots[lot];
        let mut whole = Passed::NOTHING;
        let mut group = Vec::with_capacity(facts.converted_from.len());
        for &(from, items) in &facts.converted_from {
            if !self.is_in_scope(from) {
                group.push((Some(f64::from(items)), Content::NOTHING));
                continue;
            }
            let mut gone = replaced.clone();
            gone.extend(changed_parts(self.field, from, lot));
            let before = self.walk(from, &gone, left - 1, conversions);
            let quantity = Some(f64::from(items));
            whole.amount = add(whole.amount, self.portion(from, before, quantity));
            group.push((quantity, before.content));
        }
        let known: f64 = group.iter().filter_map(|used| used.0).sum();
        let group = Group { items: items_of(self.field, lot), pieces: Some(1.0), used: group };
        whole.content = group.content();
        // Items whose lot before is not known may be of this one, which the most of it says; its share is of all.
        if known > 0.0 {
            whole.content.share *= known / f64::from(facts.converted).max(known);
        }
        whole
    }

    /// What of the lot in question goes on with a quantity of `from`.
    fn portion(&self, from: LotId, passed: Passed, quantity: Option<f64>) -> Option<f64> {
        if passed.content.is_nothing() {
            return Some(0.0);
        }
        if from == self.of {
            return quantity;
        }
        Some(passed.amount? * quantity? / basis(self.field, from)?)
    }
}

fn add(a: Option<f64>, b: Option<f64>) -> Option<f64> {
    Some(a? + b?)
}

/// Items of a lot: as made, or as many as were converted into it.
pub(super) fn items_of(field: &Field, lot: LotId) -> Option<f64> {
    let facts = &field.lots[lot];
    let items = facts.quantity.unwrap_or(0).max(facts.converted);
    (items > 0).then(|| f64::from(items))
}

/// The whole of a lot, of which shares are taken: as made, and never less than what went on from it.
pub(super) fn basis(field: &Field, lot: LotId) -> Option<f64> {
    let facts = &field.lots[lot];
    let used: Option<f64> = facts.used_in.iter().map(|u| u.1).sum();
    let converted: f64 = facts.converted_into.iter().map(|c| f64::from(c.1)).sum();
    let went_on = used.map(|used| used + converted);
    match (items_of(field, lot), went_on) {
        (Some(made), Some(went_on)) => Some(made.max(went_on)),
        (made, went_on) => made.or(went_on),
    }
    .filter(|whole| *whole > 0.0)
}

/// Pieces of a part in one of a revision and size, where the structure has it as a component.
fn pieces_of(field: &Field, revision: RevisionId, size: Option<SizeId>, part: PartId) -> Option<f64> {
    let lines = field.revisions[revision].components.iter();
    let mut always = 0.0;
    let mut configured: HashMap<_, f64> = HashMap::new();
    for line in lines.filter(|c| field.revisions[c.child].part == part) {
        if line.size.is_some() && size.is_some() && line.size != size {
            continue;
        }
        match line.configuration {
            None => always += line.quantity,
            Some(configuration) => *configured.entry(configuration).or_default() += line.quantity,
        }
    }
    let pieces = always + configured.into_values().fold(0.0, f64::max);
    (pieces > 0.0).then_some(pieces)
}
