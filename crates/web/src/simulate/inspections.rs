//! Looking on purpose: yearly inspections and counts, inspections a notice asks for, washing and function tests.

use super::SimulateError;
use super::books::Line;
use super::reporting::Seen;
use super::world::World;

/// Chance that a count is written where it finds nothing missing.
const COUNT_WRITTEN: f64 = 0.1;
/// Chance that what a notice's inspection finds, and nobody has reported, is reported then.
const PROMPTED: f64 = 0.7;

impl World {
    /// What is looked at today.
    pub(super) fn inspect(&mut self) -> Result<(), SimulateError> {
        if !self.is_recorded() {
            return Ok(());
        }
        self.consider_notice();
        for unit in self.organisation.wearing() {
            let turn = self.today + 37 * super::calendar::days(unit);
            if turn % 365 == 0 && self.today > 180 {
                self.count_unit(unit)?;
            }
            // Spring and autumn.
            if turn % 183 == 90 && self.today > 180 {
                for _ in 0..2 {
                    self.routine(unit)?;
                }
            }
        }
        for place in 0..self.bad.len() {
            if self.notices[place].as_ref().is_some_and(|notice| notice.1 == self.today) {
                self.answer_notice(place)?;
            }
        }
        Ok(())
    }

    fn count_unit(&mut self, unit: usize) -> Result<(), SimulateError> {
        for place in 0..self.fleet.holdings[unit].len() {
            let holding = &mut self.fleet.holdings[unit][place];
            let (lot, quantity) = (holding.lot, holding.items.len());
            let is_short = std::mem::take(&mut holding.missing) > 0;
            if is_short || (quantity > 0 && self.dice.chance(COUNT_WRITTEN / self.grain.batch)) {
                self.book(Line { kind: "count", lot, unit, quantity, ..Line::default() })?;
            }
        }
        self.fleet.holdings[unit].retain(|holding| !holding.items.is_empty());
        Ok(())
    }

    /// One mode on one kind of item, the often-seen modes more often.
    fn routine(&mut self, unit: usize) -> Result<(), SimulateError> {
        let product = self.dice.below(self.products.items.len());
        let hazards = &self.products.items[product].hazards;
        let weights: Vec<f64> = hazards.iter().map(|&h| self.products.hazards[h].weight).collect();
        let hazard = hazards[self.dice.weighted(&weights)];
        let mut items: Vec<u32> = Vec::new();
        for holding in &self.fleet.holdings[unit] {
            if self.product_of(holding.lot) == product {
                items.extend(&holding.items);
            }
        }
        let inspected = items.len().min(15 + self.dice.below(40));
        self.dice.bring_forward(&mut items, inspected);
        let found = items[..inspected].iter().filter(|&&item| self.shows(item, hazard)).count();
        self.write_inspection(unit, None, hazard, (inspected, found), None)
    }

    fn shows(&self, item: u32, hazard: usize) -> bool {
        self.fleet.scars_of(item).any(|scar| usize::from(scar.hazard) == hazard)
    }

    /// Every unit looks at all it holds of the lots that a notice names.
    fn answer_notice(&mut self, place: usize) -> Result<(), SimulateError> {
        let hazard = self.bad[place].hazard;
        for unit in self.organisation.wearing() {
            let named: Vec<(u32, Vec<u32>)> = self.fleet.holdings[unit]
                .iter()
                .filter(|holding| self.lots.list[holding.lot as usize].bad[place] > 0.0)
                .map(|holding| (holding.lot, holding.items.clone()))
                .collect();
            for (lot, items) in named {
                let showing: Vec<u32> =
                    items.iter().copied().filter(|&item| self.shows(item, hazard)).collect();
                self.write_inspection(unit, Some(lot), hazard, (items.len(), showing.len()), Some(place))?;
                for item in showing {
                    let is_known = self
                        .fleet
                        .scars_of(item)
                        .any(|scar| scar.reported && usize::from(scar.hazard) == hazard);
                    if !is_known && self.dice.chance(PROMPTED) {
                        let notice = Some(place);
                        let seen = Seen {
                            item,
                            lot,
                            unit,
                            hazard,
                            quantity: 1,
                            found_when: "inspection",
                            notice,
                            fate: "kept",
                        };
                        self.report(&seen)?;
                    }
                }
            }
        }
        Ok(())
    }

    fn write_inspection(
        &mut self,
        unit: usize,
        lot: Option<u32>,
        hazard: usize,
        counts: (usize, usize),
        notice: Option<usize>,
    ) -> Result<(), SimulateError> {
        if counts.0 == 0 {
            return Ok(());
        }
        let mode = &self.products.hazards[hazard];
        let notice_no = notice.and_then(|place| self.notices[place].as_ref()).map_or("", |notice| &notice.0);
        self.books.inspections.row([
            self.calendar.date(self.today),
            &self.organisation.units[unit].code,
            lot.map_or("", |lot| &self.lots.list[lot as usize].no),
            self.products.parts[mode.part].no,
            mode.mode,
            &counts.0.to_string(),
            &counts.1.to_string(),
            notice_no,
        ])
    }

    /// Washing and function tests of one unit in one round.
    pub(super) fn care(&mut self, unit: usize) -> Result<(), SimulateError> {
        if !self.is_recorded() || !self.dice.chance(f64::from(self.grain.period) / 91.0) {
            return Ok(());
        }
        let many = 1 + self.dice.below(20);
        let items = self.fleet.draw(&mut self.dice, unit, many, |_| true);
        let Some(&first) = items.first() else { return Ok(()) };
        let lot = self.fleet.items[first as usize].lot;
        let has_release = self.products.items[self.product_of(lot)]
            .pieces
            .iter()
            .any(|p| self.products.parts[p.0].kind == "QRC");
        self.write_event(unit, None, lot, items.len(), ["wash", "", "", ""])?;
        if has_release {
            self.write_event(unit, None, lot, items.len(), ["function_test", "RC-140", "", "passed"])?;
        }
        Ok(())
    }
}
