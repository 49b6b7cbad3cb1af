//! The lineage of revisions: which replaced which, by which change, and from which lot on.

use super::cut_in::first_lot_of;
use crate::field::{ChangeId, Field, LotId, PartId, RevisionId};

/// One revision of a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RevisionStep {
    /// The revision.
    pub revision: RevisionId,
    /// The one it replaces.
    pub replaces: Option<RevisionId>,
    /// The change that brought it.
    pub change: Option<ChangeId>,
    /// The lot it cut in with: as the change says, else the earliest made to it.
    pub first_lot: Option<LotId>,
    /// How many lots were made to it.
    pub lots: usize,
}

/// The revisions of a part, in the order they came.
pub fn revisions_of(field: &Field, part: PartId) -> Vec<RevisionStep> {
    let revisions = &field.parts[part].revisions;
    let mut steps: Vec<RevisionStep> = revisions.iter().map(|&revision| start(field, revision)).collect();
    let mut earliest = vec![None; steps.len()];
    for (lot, facts) in field.lots.iter() {
        let Some(at) = revisions.iter().position(|&revision| revision == facts.revision) else { continue };
        steps[at].lots += 1;
        // A lot whose day is not known can't be said to be the first.
        if let Some(made_on) = facts.made_on
            && earliest[at].is_none_or(|(day, _)| made_on < day)
        {
            earliest[at] = Some((made_on, lot));
        }
    }
    for (step, earliest) in steps.iter_mut().zip(earliest) {
        let named = step.change.and_then(|change| first_lot_of(field, &field.changes[change], part));
        step.first_lot = named.or(earliest.map(|(_, lot)| lot));
    }
    steps
}

fn start(field: &Field, revision: RevisionId) -> RevisionStep {
    let facts = &field.revisions[revision];
    let brought = field.changes.iter().find(|(_, change)| change.to == revision).map(|(id, _)| id);
    let named = || facts.change_no.as_deref().and_then(|change_no| field.find_change(change_no));
    RevisionStep {
        revision,
        replaces: facts.replaces,
        change: brought.or_else(named),
        first_lot: None,
        lots: 0,
    }
}
