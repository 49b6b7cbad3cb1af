//! Which item revisions contain a part, through the structure at any depth, and in which sizes.

use std::collections::{BTreeSet, HashMap};

use crate::field::{Field, LotId, PartId, RevisionId, SizeId, Stock, Table};

/// In which sizes of its holder a part is.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Sizes {
    All,
    Only(BTreeSet<SizeId>),
}

impl Sizes {
    fn and(&self, size: Option<SizeId>) -> Self {
        match (self, size) {
            (all, None) => all.clone(),
            (Self::All, Some(size)) => Self::Only(BTreeSet::from([size])),
            (Self::Only(sizes), Some(size)) => {
                Self::Only(sizes.iter().copied().filter(|&s| s == size).collect())
            }
        }
    }

    fn or(&mut self, other: &Self) -> bool {
        match (&mut *self, other) {
            (Self::All, _) => false,
            (_, Self::All) => {
                *self = Self::All;
                true
            }
            (Self::Only(mine), Self::Only(more)) => {
                let before = mine.len();
                mine.extend(more);
                mine.len() > before
            }
        }
    }

    /// An unknown size may be any.
    fn has(&self, size: Option<SizeId>) -> bool {
        match (self, size) {
            (Self::All, _) => true,
            (Self::Only(sizes), Some(size)) => sizes.contains(&size),
            (Self::Only(sizes), None) => !sizes.is_empty(),
        }
    }
}

/// The revisions that contain a part, or some revisions of it; the part itself is among them.
#[derive(Clone, Debug)]
pub struct Holders(HashMap<RevisionId, Sizes>);

impl Holders {
    /// Holders of any revision of a part.
    pub fn of_part(field: &Field, part: PartId) -> Self {
        Self::climb(field, &field.parts[part].revisions)
    }

    /// Holders of one revision.
    pub fn of_revision(field: &Field, revision: RevisionId) -> Self {
        Self::climb(field, &[revision])
    }

    fn climb(field: &Field, from: &[RevisionId]) -> Self {
        let mut found: HashMap<RevisionId, Sizes> = from.iter().map(|&r| (r, Sizes::All)).collect();
        let mut todo: Vec<RevisionId> = from.to_vec();
        while let Some(child) = todo.pop() {
            let below = found[&child].clone();
            for &parent in &field.revisions[child].parents {
                for line in field.revisions[parent].components.iter().filter(|c| c.child == child) {
                    let sizes = below.and(line.size);
                    let grown = match found.entry(parent) {
                        std::collections::hash_map::Entry::Occupied(mut entry) => entry.get_mut().or(&sizes),
                        std::collections::hash_map::Entry::Vacant(entry) => {
                            entry.insert(sizes);
                            true
                        }
                    };
                    if grown {
                        todo.push(parent);
                    }
                }
            }
        }
        Self(found)
    }

    /// Whether a revision in a size contains the part.
    pub fn has(&self, revision: RevisionId, size: Option<SizeId>) -> bool {
        self.0.get(&revision).is_some_and(|sizes| sizes.has(size))
    }

    /// Whether items of a stock contain the part; of unknown lots when any revision of the item does.
    pub fn has_stock(&self, field: &Field, stock: Stock) -> bool {
        match stock {
            Stock::Lot(lot) => self.has(field.lots[lot].revision, field.lots[lot].size),
            Stock::Unknown(item, size) => field.parts[item].revisions.iter().any(|&r| self.has(r, size)),
        }
    }

    /// Whether items of each lot contain the part, to be looked up.
    pub fn lots(&self, field: &Field) -> Table<LotId, bool> {
        let mut lots = Table::default();
        for (_, lot) in field.lots.iter() {
            lots.push(self.has(lot.revision, lot.size));
        }
        lots
    }

    /// The end items among the holders.
    pub fn items(&self, field: &Field) -> BTreeSet<PartId> {
        let parts = self.0.keys().map(|&revision| field.revisions[revision].part);
        parts.filter(|&part| field.is_item(part)).collect()
    }
}
