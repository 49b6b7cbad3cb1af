//! The share of a lot that has a changed part as it is after, by the lots it was made from.

use std::collections::HashMap;

use crate::field::{Field, LotId, PartId};
use crate::lineage::{DEEPEST, shares, used_by_part};

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
pub(super) struct ByLineage<'a, S> {
    field: &'a Field,
    part: PartId,
    /// The share of a lot of the part itself.
    of_part: S,
    known: HashMap<LotId, Made>,
}

impl<'a, S: Fn(LotId) -> Option<f64>> ByLineage<'a, S> {
    pub(super) fn new(field: &'a Field, part: PartId, of_part: S) -> Self {
        Self { field, part, of_part, known: HashMap::new() }
    }

    /// The share of a lot made from others; `None` where it isn't known.
    pub(super) fn share(&mut self, lot: LotId) -> Option<f64> {
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
        for (_, lots) in used_by_part(self.field, lot) {
            let (mut with, mut with_new) = (0.0, 0.0);
            for (&(used, _), part_of_it) in lots.iter().zip(shares(lots.iter().map(|lot| lot.1))) {
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
