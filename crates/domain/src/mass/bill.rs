//! The bill of weighed parts of one item in one size and configuration.

use std::collections::BTreeMap;

use super::{Mass, add_up, mean_of_specimens};
use crate::field::{ConfigurationId, Field, RevisionId, SizeId};

/// Deepest structure that is followed; a deeper one is a circle.
const DEEPEST: usize = 32;

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
    let walk = Walk { field, size, configuration, swap: *swap, whole };
    let mut bill = Bill::new();
    let mut missing = Vec::new();
    walk.add(item, 1.0, 0, &mut bill, &mut missing);
    if missing.is_empty() {
        bill.retain(|_, quantity| quantity.abs() > 1e-12);
        Ok(bill)
    } else {
        missing.sort_unstable();
        missing.dedup();
        Err(missing)
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

struct Walk<'a> {
    field: &'a Field,
    size: Option<SizeId>,
    configuration: Option<ConfigurationId>,
    swap: Option<(RevisionId, RevisionId)>,
    whole: &'a [RevisionId],
}

impl Walk<'_> {
    fn add(
        &self,
        revision: RevisionId,
        quantity: f64,
        depth: usize,
        bill: &mut Bill,
        missing: &mut Vec<Unweighed>,
    ) {
        let revision = self.swap.filter(|(from, _)| *from == revision).map_or(revision, |(_, to)| to);
        let children = if self.whole.contains(&revision) { Vec::new() } else { self.children(revision) };
        if depth == DEEPEST || children.is_empty() {
            match self.weighed_as(revision) {
                Some(key) => *bill.entry(key).or_default() += quantity,
                None => missing.push(Unweighed { revision, size: self.size }),
            }
            return;
        }
        let mut below = Bill::new();
        let mut missing_below = Vec::new();
        for (child, of_it) in children {
            self.add(child, quantity * of_it, depth + 1, &mut below, &mut missing_below);
        }
        match (missing_below.is_empty(), self.weighed_as(revision)) {
            (false, Some(key)) => {
                *bill.entry(key).or_default() += quantity;
                self.exchange(revision, quantity, depth, bill, missing);
            }
            (true, _) => below.into_iter().for_each(|(key, q)| *bill.entry(key).or_default() += q),
            (false, None) => missing.extend(missing_below),
        }
    }

    /// Takes what is swapped inside an assembly that was weighed as it is off its mass, and adds what comes instead.
    fn exchange(
        &self,
        assembly: RevisionId,
        quantity: f64,
        depth: usize,
        bill: &mut Bill,
        missing: &mut Vec<Unweighed>,
    ) {
        let Some((from, to)) = self.swap else { return };
        let inside = quantity * self.inside(from, assembly, depth);
        if inside != 0.0 {
            let plain = Self { swap: None, ..*self };
            plain.add(from, -inside, depth + 1, bill, missing);
            plain.add(to, inside, depth + 1, bill, missing);
        }
    }

    /// How many of a part are in one assembly, at any depth.
    fn inside(&self, part: RevisionId, assembly: RevisionId, depth: usize) -> f64 {
        let in_child = |child| match depth {
            _ if child == part => 1.0,
            DEEPEST => 0.0,
            _ => self.inside(part, child, depth + 1),
        };
        self.children(assembly).into_iter().map(|(child, of_it)| of_it * in_child(child)).sum()
    }

    /// The weighing to use: that of the size, else the unsized one.
    fn weighed_as(&self, revision: RevisionId) -> Option<WeighedAs> {
        let weighings = &self.field.revisions[revision].weighings;
        let size =
            [self.size, None].into_iter().find(|wanted| weighings.iter().any(|(of, _)| of == wanted))?;
        Some((revision, size))
    }

    fn children(&self, revision: RevisionId) -> Vec<(RevisionId, f64)> {
        let fits = |wanted: bool, same: bool| !wanted || same;
        self.field.revisions[revision]
            .components
            .iter()
            .filter(|c| {
                fits(c.size.is_some(), c.size == self.size)
                    && fits(c.configuration.is_some(), c.configuration == self.configuration)
            })
            .map(|c| (c.child, c.quantity))
            .collect()
    }
}
