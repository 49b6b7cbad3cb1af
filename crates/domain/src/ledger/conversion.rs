//! Parts that start anew by conversion to a lot of another revision, and how revisions differ.

use std::collections::HashSet;

use super::clocks::Restart;
use super::fold::Fold;
use super::holding::Cohort;
use super::part_of;
use crate::field::{Field, LotId, PartId, RevisionId, Stock};

/// Items converted from one stock to a lot: parts whose revision differs start anew.
pub(super) fn converted(fold: &mut Fold<'_>, from: Stock, to: LotId, cohort: Cohort) -> Cohort {
    let field = fold.field;
    let parts = fold.replaced_by_conversion.entry((from, to)).or_insert_with(|| match from {
        Stock::Lot(from) => changed_parts(field, from, to),
        Stock::Unknown(..) => perhaps_changed(field, part_of(field, from), field.lots[to].revision),
    });
    let at_age_days = cohort.age_days;
    let restart = |part| Restart { part, at_age_days, new_lot: None, by_conversion: true };
    let parts = parts.clone();
    fold.restarted(cohort, parts.into_iter().map(restart))
}

/// Parts that items of a part whose lot isn't known get when they are converted to a revision: those of it that another
/// revision they can be of lacks, for what has all of them already would not be converted.
fn perhaps_changed(field: &Field, part: PartId, to: RevisionId) -> Vec<PartId> {
    let others =
        field.parts[part].revisions.iter().filter(|&&other| other != to && !is_later(field, other, to));
    let mut parts: Vec<PartId> = others.flat_map(|&other| changed(field, other, to)).collect();
    parts.sort_unstable();
    parts.dedup();
    parts
}

/// Whether a revision came after another: it replaces it, by however many steps, or was released after it.
fn is_later(field: &Field, one: RevisionId, other: RevisionId) -> bool {
    let released = |revision: RevisionId| field.revisions[revision].released_on;
    let replaced = |&revision: &RevisionId| field.revisions[revision].replaces;
    // A chain that comes back to its beginning is no longer than there are revisions.
    let all = field.parts[field.revisions[one].part].revisions.len();
    std::iter::successors(Some(one), replaced).take(all).any(|before| before == other)
        || released(one).zip(released(other)).is_some_and(|(one, other)| one > other)
}

/// Parts of the lot `to` that the lot `from` does not have in the same revision.
pub(crate) fn changed_parts(field: &Field, from: LotId, to: LotId) -> Vec<PartId> {
    changed(field, field.lots[from].revision, field.lots[to].revision)
}

/// Parts of `to` that `from` does not have in the same revision. An assembly whose letter only follows that of a
/// part inside it has not been replaced.
pub(crate) fn changed(field: &Field, from: RevisionId, to: RevisionId) -> Vec<PartId> {
    let before: HashSet<RevisionId> = contents(field, from).into_iter().collect();
    let mut parts: Vec<PartId> = contents(field, to)
        .into_iter()
        .filter(|revision| !before.contains(revision))
        .filter(|&revision| !field.revisions[revision].components.iter().any(|c| before.contains(&c.child)))
        .map(|revision| field.revisions[revision].part)
        .collect();
    parts.sort_unstable();
    parts.dedup();
    parts
}

/// Every revision inside one, at any depth.
pub(crate) fn contents(field: &Field, revision: RevisionId) -> Vec<RevisionId> {
    let mut found = Vec::new();
    let mut seen = HashSet::new();
    let mut todo = vec![revision];
    while let Some(next) = todo.pop() {
        for component in &field.revisions[next].components {
            if seen.insert(component.child) {
                found.push(component.child);
                todo.push(component.child);
            }
        }
    }
    found
}
