//! Rounds of the stores: deliveries, issues, returns, transfers, losses and counts, and the conversion of issued stock.

use super::SimulateError;
use super::books::Line;
use super::calendar::YEAR;
use super::fleet::{CHANGED, CONTAINS, Item, NOWHERE, UNSCARRED};
use super::lots::Made;
use super::organisation::DEPOT;
use super::world::{Phase, World};

/// Share of what has been delivered that units are allotted; the rest is the stores' reserve.
const ALLOTTED: f64 = 0.92;
/// Yearly shares of items in service that are returned, handed to another unit, lost, worn out, or gone unnoticed.
pub(super) const RETURNED: f64 = 0.09;
const TRANSFERRED: f64 = 0.03;
const LOST: f64 = 0.008;
const RETIRED: f64 = 0.012;
const UNNOTICED: f64 = 0.004;
/// Share of losses that turn up again.
const FOUND_AGAIN: f64 = 0.15;

impl World {
    /// The product a lot of items belongs to.
    pub(super) fn product_of(&self, lot: u32) -> usize {
        self.products.sizes[self.size_of(lot)].product
    }

    /// The size place of a lot of items.
    pub(super) fn size_of(&self, lot: u32) -> usize {
        match self.lots.list[lot as usize].made {
            Made::Item(size) => size,
            // Only lots of items are issued; a component asked for a size has the first.
            Made::Part(_) => 0,
        }
    }

    /// Takes in the lots that arrive today; what came before the first day opens the books.
    pub(super) fn deliver(&mut self) -> Result<(), SimulateError> {
        while let Some(lot) = self.flow.next_arrival(self.today, &self.lots) {
            let Made::Item(size) = self.lots.list[lot as usize].made else { continue };
            let (unit, quantity) =
                (self.lots.list[lot as usize].store, self.lots.list[lot as usize].quantity);
            self.fleet.new_stock[unit][size].push_back((lot, quantity));
            self.flow.delivered[size] += f64::from(quantity);
            let kind = if self.today == 0 { "opening" } else { "receive" };
            self.book(Line { kind, lot, unit, quantity: quantity as usize, ..Line::default() })?;
        }
        Ok(())
    }

    /// One round of the stores.
    pub(super) fn round(&mut self) -> Result<(), SimulateError> {
        self.clear_stores()?;
        for unit in self.organisation.wearing() {
            if self.phase != Phase::Beyond {
                self.supply(unit)?;
                self.convert(unit)?;
                self.care(unit)?;
            }
        }
        // Only when every unit is supplied: what comes back today is on a shelf before it is issued again.
        for unit in self.organisation.wearing() {
            self.turn_over(unit)?;
        }
        Ok(())
    }

    /// Condemned items leave the books of the stores, mended and found ones go back to where they came from.
    fn clear_stores(&mut self) -> Result<(), SimulateError> {
        // The depot condemns: no store holds what was handed in.
        for (lot, quantity) in std::mem::take(&mut self.flow.condemned) {
            self.book(Line { kind: "retire", lot, unit: DEPOT, quantity, ..Line::default() })?;
        }
        if self.phase == Phase::Beyond {
            return Ok(());
        }
        let (due, later): (Vec<_>, Vec<_>) =
            std::mem::take(&mut self.flow.away).into_iter().partition(|away| away.0 <= self.today);
        self.flow.away = later;
        for (_, item, unit, from_loft) in due {
            let lot = self.fleet.items[item as usize].lot;
            let (kind, condition) = if from_loft { ("issue", "used") } else { ("found", "") };
            self.book(Line { kind, lot, unit, quantity: 1, condition, ..Line::default() })?;
            self.enter(item, unit);
        }
        Ok(())
    }

    /// Fills a unit up to what it is allotted.
    fn supply(&mut self, unit: usize) -> Result<(), SimulateError> {
        let store = self.organisation.store_of(unit);
        for size in 0..self.products.sizes.len() {
            let phase = (unit * 31 + size * 17) % 97;
            let shift = self.flow.exchanged.get(&(unit, size)).copied().unwrap_or(0);
            let due = (ALLOTTED * self.flow.delivered[size] * self.organisation.units[unit].share
                + phase as f64 / 97.0) as i64
                + shift;
            let mut lacking = (due - i64::from(self.fleet.held[unit][size])).max(0) as usize;
            if self.dice.chance(0.5) {
                lacking -= self.issue_used(unit, store, size, lacking)?;
            }
            while lacking > 0 {
                let stock = &mut self.fleet.new_stock[store][size];
                // Mostly the oldest lot, sometimes whichever pallet stands in front.
                let place = usize::from(stock.len() > 1 && self.dice.chance(0.2));
                let Some(&(lot, left)) = stock.get(place) else { break };
                let taken = lacking.min(left as usize);
                stock[place].1 -= taken as u32;
                if stock[place].1 == 0 {
                    stock.remove(place);
                }
                lacking -= taken;
                self.book(Line {
                    kind: "issue",
                    lot,
                    unit,
                    quantity: taken,
                    condition: "new",
                    ..Line::default()
                })?;
                for _ in 0..taken {
                    self.unpack(lot, unit)?;
                }
            }
        }
        Ok(())
    }

    fn issue_used(
        &mut self,
        unit: usize,
        store: usize,
        size: usize,
        lacking: usize,
    ) -> Result<usize, SimulateError> {
        let stock = &mut self.fleet.used_stock[store][size];
        let mut items: Vec<u32> = stock.drain(..lacking.min(stock.len())).collect();
        items.sort_by_key(|&item| self.fleet.items[item as usize].lot);
        let lots: Vec<u32> = items.iter().map(|&item| self.fleet.items[item as usize].lot).collect();
        for group in lots.chunk_by(u32::eq) {
            self.book(Line {
                kind: "issue",
                lot: group[0],
                unit,
                quantity: group.len(),
                condition: "used",
                ..Line::default()
            })?;
        }
        for &item in &items {
            self.enter(item, unit);
        }
        Ok(items.len())
    }

    /// A new item goes into service.
    fn unpack(&mut self, lot: u32, unit: usize) -> Result<(), SimulateError> {
        let mut flags = 0;
        for (place, contains) in CONTAINS.into_iter().enumerate().take(self.bad.len()) {
            let made = &self.lots.list[lot as usize];
            let (share, worse) = (made.holds[place], made.bad[place]);
            let unpacked = f64::from(made.unpacked[0]);
            // Where it shows, chance tells who has it; elsewhere every so many items do.
            let is_worse = worse > 0.0 && self.dice.chance(worse);
            let in_turn = ((unpacked + 1.0) * share).floor() > (unpacked * share).floor();
            if is_worse {
                flags |= 1 << place;
                self.tally.bad[place].items += 1;
            }
            if self.lots.unpack(lot, place, is_worse || (worse <= 0.0 && in_turn)) {
                flags |= contains;
            }
        }
        let made = &mut self.lots.list[lot as usize];
        made.unpacked[0] += 1;
        if made.share_new > 0.0 && self.dice.chance(made.share_new) {
            flags |= CHANGED;
        }
        let item = self.fleet.items.len() as u32;
        self.fleet.items.push(Item {
            lot,
            unit: NOWHERE,
            spell: 0,
            entered: self.today,
            since: self.today,
            worn: 0.0,
            served: 0,
            scars: UNSCARRED,
            flags,
            renewed: false,
        });
        self.enter(item, unit);
        self.look_over(item)
    }

    /// An item goes into service at a unit.
    pub(super) fn enter(&mut self, item: u32, unit: usize) {
        let stay = &mut self.fleet.items[item as usize];
        stay.unit = unit as u16;
        stay.entered = self.today;
        let lot = stay.lot;
        self.fleet.place(item, unit);
        let size = self.size_of(lot);
        self.fleet.held[unit][size] += 1;
        self.begin_stay(item);
    }

    /// An item goes out of service.
    pub(super) fn leave(&mut self, item: u32) -> Result<(), SimulateError> {
        self.write_serial(item, true)?;
        self.step_out(item);
        Ok(())
    }

    fn step_out(&mut self, item: u32) {
        self.end_stay(item);
        self.fleet.take(item);
        let Item { lot, unit, .. } = self.fleet.items[item as usize];
        let size = self.size_of(lot);
        self.fleet.held[unit as usize][size] -= 1;
        self.fleet.items[item as usize].unit = NOWHERE;
    }

    /// A stay begins.
    pub(super) fn begin_stay(&mut self, item: u32) {
        let stay = &mut self.fleet.items[item as usize];
        stay.since = self.today;
        stay.spell = stay.spell.wrapping_add(1);
        self.schedule(item);
    }

    /// A stay ends: what it wore is added up.
    pub(super) fn end_stay(&mut self, item: u32) {
        self.settle(item);
        let worn = self.worn_now(item);
        let stay = &mut self.fleet.items[item as usize];
        stay.worn = worn;
        stay.served += self.today - stay.since;
        stay.since = self.today;
        stay.spell = stay.spell.wrapping_add(1);
    }

    /// Returns, transfers, losses and worn-out items of one unit in one round.
    fn turn_over(&mut self, unit: usize) -> Result<(), SimulateError> {
        let held = self.fleet.held[unit].iter().sum::<u32>();
        let years = f64::from(self.grain.period) / YEAR;
        let kinds = [RETURNED, TRANSFERRED, LOST, RETIRED, UNNOTICED];
        for (kind, yearly) in kinds.into_iter().enumerate() {
            for _ in 0..self.dice.poisson(yearly * f64::from(held) * years / self.grain.batch) {
                let most = if self.grain.batch > 1.0 {
                    1 + self.dice.poisson(self.grain.batch - 1.0) as usize
                } else {
                    1
                };
                let items = self.fleet.draw(&mut self.dice, unit, most, |_| true);
                if items.is_empty() {
                    continue;
                }
                match kind {
                    0 => self.give_back(unit, &items)?,
                    1 => self.hand_over(unit, &items)?,
                    2 => self.lose(unit, &items)?,
                    3 => self.wear_out(unit, &items)?,
                    _ => self.vanish(unit, &items)?,
                }
            }
        }
        Ok(())
    }

    fn give_back(&mut self, unit: usize, items: &[u32]) -> Result<(), SimulateError> {
        let lot = self.fleet.items[items[0] as usize].lot;
        let (size, store) = (self.size_of(lot), self.organisation.store_of(unit));
        let reason = ["left", "size_exchange", "worn"][self.dice.weighted(&[0.5, 0.28, 0.22])];
        self.book(Line { kind: "return", lot, unit, quantity: items.len(), reason, ..Line::default() })?;
        if reason == "size_exchange" {
            let first = self.products.items[self.products.sizes[size].product].first_size;
            let moved = i64::try_from(items.len()).unwrap_or(i64::MAX);
            let other = if size > first { size - 1 } else { size + 1 };
            *self.flow.exchanged.entry((unit, size)).or_default() -= moved;
            *self.flow.exchanged.entry((unit, other)).or_default() += moved;
        }
        for &item in items {
            self.leave(item)?;
            if reason != "worn" && self.dice.chance(0.8) {
                self.fleet.used_stock[store][size].push(item);
            } else {
                *self.flow.condemned.entry(lot).or_default() += 1;
            }
        }
        Ok(())
    }

    fn hand_over(&mut self, unit: usize, items: &[u32]) -> Result<(), SimulateError> {
        let wearing = self.organisation.wearing();
        let to = wearing.start + self.dice.below(wearing.len());
        if to == unit {
            return Ok(());
        }
        let lot = self.fleet.items[items[0] as usize].lot;
        self.book(Line {
            kind: "transfer",
            lot,
            unit,
            quantity: items.len(),
            to_unit: Some(to),
            ..Line::default()
        })?;
        for &item in items {
            // One day at two units is written as a stay at the second.
            if self.fleet.items[item as usize].entered < self.today {
                self.write_serial(item, true)?;
            }
            self.step_out(item);
            self.enter(item, to);
        }
        Ok(())
    }

    fn lose(&mut self, unit: usize, items: &[u32]) -> Result<(), SimulateError> {
        let lot = self.fleet.items[items[0] as usize].lot;
        self.book(Line { kind: "loss", lot, unit, quantity: items.len(), ..Line::default() })?;
        for &item in items {
            self.leave(item)?;
            if self.dice.chance(FOUND_AGAIN) {
                let back = self.today + self.dice.days(20, 200);
                self.flow.away.push((back, item, unit, false));
            }
        }
        Ok(())
    }

    /// Only what has served three years is worn out.
    fn wear_out(&mut self, unit: usize, items: &[u32]) -> Result<(), SimulateError> {
        let old: Vec<u32> = items.iter().copied().filter(|&item| self.served(item) > 1096).collect();
        let Some(&first) = old.first() else { return Ok(()) };
        let lot = self.fleet.items[first as usize].lot;
        self.book(Line { kind: "retire", lot, unit, quantity: old.len(), ..Line::default() })?;
        old.into_iter().try_for_each(|item| self.leave(item))
    }

    /// Items go without a line in the books; the next count will show it.
    fn vanish(&mut self, unit: usize, items: &[u32]) -> Result<(), SimulateError> {
        let lot = self.fleet.items[items[0] as usize].lot;
        for &item in items {
            self.leave(item)?;
        }
        if let Some(holding) = self.fleet.holdings[unit].iter_mut().find(|holding| holding.lot == lot) {
            holding.missing += items.len() as u32;
        }
        Ok(())
    }

    /// Days an item has served.
    pub(super) fn served(&self, item: u32) -> i32 {
        let stay = &self.fleet.items[item as usize];
        stay.served + if stay.unit == NOWHERE { 0 } else { self.today - stay.since }
    }
}
