//! How much of other lots contains one lot, by every way through the lineage.

use std::collections::{BTreeSet, HashMap};

use super::content::{Content, Group, either};
use super::origin::{ANY_DAY, Converted, Origin};
use super::{DEEPEST, used_by_part};
use crate::field::{Day, Field, Id as _, LotId, PartId, RevisionId, SizeId};

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

/// The ways of one lot into others, by what was converted up to a day.
pub(super) struct Passage<'a> {
    field: &'a Field,
    of: LotId,
    scope: &'a Scope,
    on: Day,
    found: HashMap<Asked, Passed>,
}

/// A lot, the parts that were replaced, and how many steps and conversions may still be followed: with fewer, the answer is
/// another one.
type Asked = (LotId, BTreeSet<PartId>, usize, usize);

impl<'a> Passage<'a> {
    pub(super) fn new(field: &'a Field, of: LotId, scope: &'a Scope, on: Day) -> Self {
        Self { field, of, scope, on, found: HashMap::new() }
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
        let origin = Origin::of(self.field, lot, self.on);
        let own = self.by_parts(lot, &origin, replaced, left, conversions);
        let before = self.by_conversion(&origin, replaced, left, conversions);
        let ways = own.iter().map(|way| way.1).chain(before.iter().map(|way| way.1));
        let amount = ways.map(|way| way.amount).sum();
        let passed = Passed { content: together(&origin, &own, &before), amount };
        self.found.insert(key, passed);
        passed
    }

    fn is_in_scope(&self, lot: LotId) -> bool {
        lot == self.of || self.scope.has(lot)
    }

    /// By the lots of each part that a lot was made from, in the items that have one of them.
    fn by_parts(
        &mut self,
        lot: LotId,
        origin: &Origin,
        replaced: &BTreeSet<PartId>,
        left: usize,
        conversions: usize,
    ) -> Vec<(PartId, Passed)> {
        let field = self.field;
        let facts = &field.lots[lot];
        let mut ways = Vec::new();
        for (part, lots) in used_by_part(field, lot) {
            // Most of what a lot was made from has nothing to do with the lot in question.
            if replaced.contains(&part) || !lots.iter().any(|used| self.is_in_scope(used.0)) {
                continue;
            }
            let (mut group, mut amount) = (Vec::new(), Some(0.0));
            for &(from, quantity) in lots {
                let below = self.walk(from, replaced, left - 1, conversions);
                amount = add(amount, self.portion(from, below, quantity));
                group.push((quantity, below.content));
            }
            let pieces = pieces_of(field, facts.revision, facts.size, part);
            let [items, in_all] = origin.with_own(part);
            let content = Group { items: in_all, pieces, used: group }.content().within(items);
            ways.push((part, Passed { content, amount }));
        }
        ways
    }

    /// By each lot whose items became this one: they keep the parts that were not taken out.
    fn by_conversion<'o>(
        &mut self,
        origin: &'o Origin,
        replaced: &BTreeSet<PartId>,
        left: usize,
        conversions: usize,
    ) -> Vec<(&'o Converted, Passed)> {
        let mut ways = Vec::with_capacity(origin.converted.len());
        for converted in origin.converted.iter().filter(|converted| converted.items > 0.0) {
            let from = converted.from.filter(|&from| conversions > 0 && self.is_in_scope(from));
            let mut passed = Passed::NOTHING;
            if let Some(from) = from {
                let gone: BTreeSet<PartId> = replaced.union(&converted.gone).copied().collect();
                let before = self.walk(from, &gone, left - 1, conversions - 1);
                let amount = self.portion(from, before, Some(converted.items));
                passed = Passed { content: before.content, amount };
            }
            ways.push((converted, passed));
        }
        ways
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

/// What a lot contains by the lots it was made from and by those whose items became it. Items that kept a part have none of
/// the lots that the others got it from, so that of these two what is sure adds up.
fn together(origin: &Origin, own: &[(PartId, Passed)], before: &[(&Converted, Passed)]) -> Content {
    let by_own = |of: &dyn Fn(PartId) -> bool| {
        own.iter().filter(|way| of(way.0)).fold(0.0, |share, way| either(share, way.1.content.share))
    };
    let mut share = origin.share_new() * by_own(&|_| true);
    for (converted, passed) in before {
        let new_parts = by_own(&|part| !converted.keeps(part));
        share += origin.share_converted(converted) * either(passed.content.share, new_parts);
    }
    let items = origin.items();
    let by_conversion = of_converted(before, |_| true);
    let new = items.map_or(f64::INFINITY, |items| items - origin.became());
    let (mut most, mut without) = (by_conversion.most, by_conversion.without + new);
    for (part, passed) in own {
        let kept = of_converted(before, |converted| converted.keeps(*part));
        most += passed.content.most;
        without = without.min(passed.content.without + kept.without);
    }
    Content { share, most, without }.within(items)
}

/// Which of converted items contain the lot in question by what they were before. Those whose lot before is not known may be of
/// it, where any of the others are.
fn of_converted(ways: &[(&Converted, Passed)], wanted: impl Fn(&Converted) -> bool) -> Content {
    let ways = ways.iter().filter(|way| wanted(way.0));
    let items: f64 = ways.clone().map(|way| way.0.items).sum();
    if items <= 0.0 {
        return Content { share: 0.0, most: 0.0, without: 0.0 };
    }
    let known = ways.filter(|way| way.0.from.is_some());
    let used = known.map(|way| (Some(way.0.items), way.1.content)).collect();
    Group { items: Some(items), pieces: Some(1.0), used }.content().within(Some(items))
}

/// Items of a lot, on any day: as made, and as many as were converted into it.
fn items_of(field: &Field, lot: LotId) -> Option<f64> {
    Origin::of(field, lot, ANY_DAY).items()
}

/// The whole of a lot, of which shares are taken: as made, and never less than what went on from it.
pub(super) fn basis(field: &Field, lot: LotId) -> Option<f64> {
    let facts = &field.lots[lot];
    let used: Option<f64> = facts.used_in.iter().map(|u| u.1).sum();
    let converted: f64 = facts.converted_into.iter().flat_map(|c| &c.1).map(|day| f64::from(day.1)).sum();
    let went_on = used.map(|used| used + converted);
    match (items_of(field, lot), went_on) {
        (Some(made), Some(went_on)) => Some(made.max(went_on)),
        (made, went_on) => made.or(went_on),
    }
    .filter(|whole| *whole > 0.0)
}

/// Pieces of a part in one of a revision and size, where the structure has it as a component.
pub(super) fn pieces_of(
    field: &Field,
    revision: RevisionId,
    size: Option<SizeId>,
    part: PartId,
) -> Option<f64> {
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
