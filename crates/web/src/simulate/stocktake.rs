//! Who holds what when the books open and when they close.

use std::collections::BTreeMap;

use super::SimulateError;
use super::books::Line;
use super::fleet::CONTAINS;
use super::world::{Phase, World};

impl World {
    /// Opens the books in the middle of things: what units and stores hold, of unknown age.
    pub(super) fn open_books(&mut self) -> Result<(), SimulateError> {
        // Stays begin anew, so that nothing from before is counted.
        self.phase = Phase::Unrecorded;
        for item in 0..self.fleet.items.len() as u32 {
            let stay = &self.fleet.items[item as usize];
            if stay.has_bad_lot() && stay.unit != super::fleet::NOWHERE {
                self.end_stay(item);
                self.begin_stay(item);
            }
        }
        self.phase = Phase::Recorded;
        for unit in self.organisation.wearing() {
            for place in 0..self.fleet.holdings[unit].len() {
                let holding = &mut self.fleet.holdings[unit][place];
                holding.missing = 0;
                let (lot, quantity) = (holding.lot, holding.items.len());
                self.book(Line { kind: "opening", lot, unit, quantity, ..Line::default() })?;
            }
        }
        // The shelves of returned goods are cleared before records begin: an opening can't say that stock is used.
        self.flow.condemned.clear();
        self.flow.away.clear();
        self.fleet.used_stock.iter_mut().flatten().for_each(Vec::clear);
        for ((unit, lot), quantity) in self.new_stock() {
            self.book(Line { kind: "opening", lot, unit, quantity, ..Line::default() })?;
        }
        Ok(())
    }

    /// Closes the books: settles what bad lots should have brought, writes where serials are, and remembers who holds what.
    pub(super) fn close_books(&mut self) -> Result<(), SimulateError> {
        self.today = self.calendar.end;
        for item in 0..self.fleet.items.len() as u32 {
            self.settle(item);
            if self.fleet.items[item as usize].unit != super::fleet::NOWHERE {
                self.write_serial(item, false)?;
            }
        }
        for unit in self.organisation.wearing() {
            let held = self.fleet.holdings[unit]
                .iter()
                .map(|h| (h.lot, h.items.len() as u64, h.items.len() as u64 + u64::from(h.missing)));
            let mut held: Vec<_> = held.filter(|h| h.2 > 0).collect();
            held.sort_unstable();
            self.tally
                .holdings
                .extend(held.into_iter().map(|(lot, real, booked)| (Some(unit), lot, real, booked)));
        }
        self.note_holders();
        for ((unit, lot), quantity) in self.new_stock() {
            self.tally.holdings.push((Some(unit), lot, quantity as u64, quantity as u64));
        }
        for (lot, quantity) in self.returned() {
            self.tally.holdings.push((None, lot, quantity as u64, quantity as u64));
        }
        Ok(())
    }

    /// Who has items in service that contain each bad lot.
    fn note_holders(&mut self) {
        for (place, contains) in CONTAINS.into_iter().enumerate().take(self.bad.len()) {
            for unit in self.organisation.wearing() {
                let contains = |item: &&u32| self.fleet.items[**item as usize].flags & contains != 0;
                let held = self.fleet.holdings[unit]
                    .iter()
                    .map(|holding| (unit, holding.lot, holding.items.iter().filter(contains).count() as u64));
                let held: Vec<_> = held.filter(|held| held.2 > 0).collect();
                self.tally.bad[place].holders.extend(held);
            }
            self.tally.bad[place].holders.sort_unstable();
        }
    }

    /// New stock by store and lot.
    fn new_stock(&self) -> BTreeMap<(usize, u32), usize> {
        let mut stored = BTreeMap::new();
        for &store in &self.organisation.stores {
            for &(lot, left) in self.fleet.new_stock[store].iter().flatten() {
                *stored.entry((store, lot)).or_default() += left as usize;
            }
        }
        stored
    }

    /// What was returned and neither condemned nor issued again, by lot.
    fn returned(&self) -> BTreeMap<u32, usize> {
        let mut returned = self.flow.condemned.clone();
        let shelved = self.fleet.used_stock.iter().flatten().flatten().copied();
        let in_the_loft = self.flow.away.iter().filter(|away| away.3).map(|away| away.1);
        for item in shelved.chain(in_the_loft) {
            *returned.entry(self.fleet.items[item as usize].lot).or_default() += 1;
        }
        returned
    }
}
