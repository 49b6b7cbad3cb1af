//! The bill of weighed parts of one item in one size and configuration.

use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use super::{Mass, add_up, mean_of_specimens};
use crate::field::{ConfigurationId, Field, RevisionId, SizeId};

/// Deepest structure that is followed; a deeper one is a circle.
pub(super) const DEEPEST: usize = 32;

/// Weighed parts with their quantities. The weighing that was used is part of the key: a part weighed by size
/// and the same part weighed unsized are two different masses.
pub type Bill = BTreeMap<WeighedAs, f64>;

/// A part and the size in which it was weighed; `None` for an unsized weighing.
pub type WeighedAs = (RevisionId, Option<SizeId>);

/// A part that would have to be weighed before the whole can be known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Unweighed {
    /// The part.
    pub revision: RevisionId,
    /// The size in which it was never weighed.
    pub size: Option<SizeId>,
}

/// How a structure is followed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Following {
    /// One revision in the place of another: how a proposed change is weighed before any structure in the books carries it.
    pub swap: Option<(RevisionId, RevisionId)>,
    /// Revisions that are not followed down: what they weigh themselves counts.
    pub whole: Vec<RevisionId>,
}

/// The bill of an item in a size and configuration.
///
/// Components are followed down to parts without components, which must be weighed in the size or unsized. Where
/// something below an assembly was never weighed, a weighing of the assembly itself stands in for all of it; what is
/// swapped inside it is taken off and its substitute added.
///
/// # Errors
/// Every part that was never weighed and that nothing stands in for.
pub fn bill(
    field: &Field,
    item: RevisionId,
    size: Option<SizeId>,
    configuration: Option<ConfigurationId>,
    following: &Following,
) -> Result<Bill, Vec<Unweighed>> {
    let Following { swap, whole } = following;
    let mut walk = Walk { field, size, configuration, swap: *swap, whole, known: BTreeMap::new() };
    let whole = walk.of_one(item, 0);
    if whole.missing.is_empty() {
        let parts = whole.bill.iter().filter(|(_, quantity)| quantity.abs() > 1e-12);
        Ok(parts.map(|(&key, &quantity)| (key, quantity)).collect())
    } else {
        Err(whole.missing.iter().copied().collect())
    }
}

/// Mass of a bill.
pub(super) fn mass_of(field: &Field, bill: &Bill) -> Mass {
    add_up(bill.iter().filter_map(|(&(revision, size), &quantity)| {
        Some((quantity, mean_of_specimens(&specimens(field, revision, size))?))
    }))
}

fn specimens(field: &Field, revision: RevisionId, size: Option<SizeId>) -> Vec<f64> {
    let weighings = &field.revisions[revision].weighings;
    weighings.iter().filter(|(of, _)| *of == size).map(|(_, grams)| *grams).collect()
}

/// What is in one of a revision.
#[derive(Default)]
struct OfOne {
    bill: Bill,
    missing: BTreeSet<Unweighed>,
}

impl OfOne {
    fn add(&mut self, other: &Self, quantity: f64) {
        for (key, of_it) in &other.bill {
            *self.bill.entry(*key).or_default() += quantity * of_it;
        }
        self.missing.extend(&other.missing);
    }
}

struct Walk<'a> {
    field: &'a Field,
    size: Option<SizeId>,
    configuration: Option<ConfigurationId>,
    swap: Option<(RevisionId, RevisionId)>,
    whole: &'a [RevisionId],
    /// By revision and depth: a part may be in an assembly by very many ways.
    known: BTreeMap<(RevisionId, usize), Rc<OfOne>>,
}

impl Walk<'_> {
    fn of_one(&mut self, revision: RevisionId, depth: usize) -> Rc<OfOne> {
        let revision = self.swap.filter(|(from, _)| *from == revision).map_or(revision, |(_, to)| to);
        if let Some(known) = self.known.get(&(revision, depth)) {
            return Rc::clone(known);
        }
        let found = Rc::new(self.work_out(revision, depth));
        self.known.insert((revision, depth), Rc::clone(&found));
        found
    }

    fn work_out(&mut self, revision: RevisionId, depth: usize) -> OfOne {
        let children = if self.whole.contains(&revision) { Vec::new() } else { self.children(revision) };
        let weighed_as = self.weighed_as(revision);
        if depth == DEEPEST || children.is_empty() {
            return match weighed_as {
                Some(key) => OfOne { bill: Bill::from([(key, 1.0)]), ..OfOne::default() },
                None => OfOne {
                    missing: BTreeSet::from([Unweighed { revision, size: self.size }]),
                    ..OfOne::default()
                },
            };
        }
        let mut below = OfOne::default();
        for (child, quantity) in children {
            below.add(&self.of_one(child, depth + 1), quantity);
        }
        match weighed_as.filter(|_| !below.missing.is_empty()) {
            Some(key) => self.exchanged(revision, key, depth),
            None => below,
        }
    }

    /// An assembly that was weighed as it is, with what is swapped inside it taken off its mass and what comes instead added.
    fn exchanged(&self, assembly: RevisionId, weighed_as: WeighedAs, depth: usize) -> OfOne {
        let mut whole = OfOne { bill: Bill::from([(weighed_as, 1.0)]), ..OfOne::default() };
        let Some((from, to)) = self.swap else { return whole };
        let inside = self.inside(from, assembly, depth);
        if inside != 0.0 {
            let mut plain = Walk { swap: None, known: BTreeMap::new(), ..*self };
            whole.add(&plain.of_one(from, depth + 1), -inside);
            whole.add(&plain.of_one(to, depth + 1), inside);
        }
        whole
    }

    /// How many of a part are in one assembly, at any depth.
    fn inside(&self, part: RevisionId, assembly: RevisionId, depth: usize) -> f64 {
        let mut found = 0.0;
        let mut level = BTreeMap::from([(assembly, 1.0)]);
        for _ in depth..=DEEPEST {
            let mut next: BTreeMap<RevisionId, f64> = BTreeMap::new();
            for (revision, quantity) in level {
                for (child, of_it) in self.children(revision) {
                    let pieces = if child == part { &mut found } else { next.entry(child).or_default() };
                    *pieces += quantity * of_it;
                }
            }
            level = next;
        }
        found
    }

    /// The weighing to use: that of the size, else the unsized one.
    fn weighed_as(&self, revision: RevisionId) -> Option<WeighedAs> {
        let weighings = &self.field.revisions[revision].weighings;
        let size =
            [self.size, None].into_iter().find(|wanted| weighings.iter().any(|(of, _)| of == wanted))?;
        Some((revision, size))
    }

    fn children(&self, revision: RevisionId) -> Vec<(RevisionId, f64)> {
        children(self.field, revision, self.size, self.configuration)
    }
}

/// What a revision is made of in a size and configuration, with quantities.
pub(super) fn children(
    field: &Field,
    revision: RevisionId,
    size: Option<SizeId>,
    configuration: Option<ConfigurationId>,
) -> Vec<(RevisionId, f64)> {
    let fits = |wanted: bool, same: bool| !wanted || same;
    field.revisions[revision]
        .components
        .iter()
        .filter(|c| {
            fits(c.size.is_some(), c.size == size)
                && fits(c.configuration.is_some(), c.configuration == configuration)
        })
        .map(|c| (c.child, c.quantity))
        .collect()
}
