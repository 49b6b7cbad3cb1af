//! The change put into items already issued: converted lot by lot, unit by unit.

use super::SimulateError;
use super::books::Line;
use super::calendar::YEAR;
use super::world::World;

impl World {
    /// Issued items of the old revision get the change.
    pub(super) fn convert(&mut self, unit: usize) -> Result<(), SimulateError> {
        if self.today < self.change.converts_from {
            return Ok(());
        }
        let share = self.change.convert_rate * f64::from(self.grain.period) / YEAR;
        let old: Vec<(u32, usize)> = self.fleet.holdings[unit]
            .iter()
            .filter(|h| {
                self.product_of(h.lot) == self.change.product
                    && self.lots.list[h.lot as usize].share_new == 0.0
            })
            .map(|h| (h.lot, h.items.len()))
            .collect();
        for (lot, held) in old {
            if held == 0 || !self.dice.chance(share) {
                continue;
            }
            let size = self.size_of(lot);
            let to = self
                .lots
                .conversion
                .get(&size)
                .and_then(|lots| lots.iter().rev().find(|(from, _)| *from <= self.today));
            let Some(&(_, to_lot)) = to else { continue };
            let items = self.fleet.draw(&mut self.dice, unit, held, |other| other == lot);
            self.book(Line {
                kind: "convert",
                lot,
                unit,
                quantity: items.len(),
                to_lot: Some(to_lot),
                ..Line::default()
            })?;
            self.lots.list[to_lot as usize].quantity += items.len() as u32;
            for item in items {
                self.write_serial(item, true)?;
                self.fleet.take(item);
                self.fleet.items[item as usize].lot = to_lot;
                self.fleet.items[item as usize].entered = self.today;
                self.fleet.place(item, unit);
                self.renew(item, self.change.part, true, 0);
            }
        }
        Ok(())
    }
}
