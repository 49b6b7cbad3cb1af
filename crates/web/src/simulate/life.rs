//! When items fail: each stay at a unit draws its failures from the Weibull lives of the item's components.

use super::fleet::{CHANGED, CONTAINS, Renewal};
use super::lots::Made;
use super::world::{Event, World};

/// Expected failures of the last stay drawn for, kept because whole batches share it.
#[derive(Default)]
pub(super) struct Sheet {
    key: Option<(usize, usize, i32, u8)>,
    rows: Vec<Row>,
}

/// One mode over one stay.
struct Row {
    hazard: usize,
    /// How many times worse or better than the mode's life.
    factor: f64,
    /// Use that the component had not seen.
    offset: f64,
    /// Expected failures before the stay and at its furthest, before `factor`.
    from: f64,
    to: f64,
}

impl World {
    /// Draws the failures of an item's stay from today, were it to last; a later move makes what is left of them stale.
    ///
    /// Failures of a mode are a Poisson process whose expected count by age t is (t/scale)^shape: its first is Weibull, and a mended
    /// component goes on at its age.
    pub(super) fn schedule(&mut self, item: u32) {
        let stay = &self.fleet.items[item as usize];
        let unit = &self.organisation.units[stay.unit as usize];
        let here = self.calendar.worn(unit.season, self.today);
        let furthest =
            stay.worn + unit.use_factor * (self.calendar.worn(unit.season, self.calendar.last) - here);
        let product = self.product_of(stay.lot);
        let key = (stay.worn == 0.0 && !stay.renewed).then_some((
            product,
            stay.unit as usize,
            self.today,
            stay.flags,
        ));
        if key.is_none() || key != self.sheet.key {
            self.sheet.rows = self.rows(item, product, furthest);
            self.sheet.key = key;
        }
        let expected: Vec<f64> = self.sheet.rows.iter().map(|row| row.factor * (row.to - row.from)).collect();
        let total = expected.iter().sum();
        for _ in 0..self.dice.poisson(total) {
            let row = &self.sheet.rows[self.dice.weighted(&expected)];
            let reached = self.dice.between(row.from, row.to);
            let age = row.offset + self.products.hazards[row.hazard].age(reached);
            let day = self
                .calendar
                .day_worn(unit.season, here + (age - stay.worn) / unit.use_factor)
                .max(self.today);
            if let Some(events) = self.queue.get_mut(day as usize) {
                events.push(Event { item, hazard: row.hazard as u16, spell: stay.spell });
            }
        }
    }

    fn rows(&self, item: u32, product: usize, furthest: f64) -> Vec<Row> {
        let stay = &self.fleet.items[item as usize];
        let hazards = self.products.items[product].hazards.iter();
        hazards
            .filter(|&&h| self.products.hazards[h].weight > 0.0)
            .map(|&h| {
                let hazard = &self.products.hazards[h];
                let offset = self.fleet.renewal(item, hazard.part).map_or(0.0, |renewal| renewal.worn);
                let (from, to) =
                    (hazard.cumulative(stay.worn - offset), hazard.cumulative(furthest - offset));
                Row { hazard: h, factor: self.factor(stay.flags, h), offset, from, to }
            })
            .collect()
    }

    /// How many times worse or better a mode is on an item with these flags.
    pub(super) fn factor(&self, flags: u8, hazard: usize) -> f64 {
        let changed =
            if hazard == self.change.hazard && flags & CHANGED != 0 { self.change.ratio } else { 1.0 };
        let worse = self
            .bad
            .iter()
            .enumerate()
            .filter(|(place, bad)| flags & (1 << place) != 0 && bad.hazard == hazard);
        worse.fold(changed, |factor, (_, bad)| factor * bad.factor)
    }

    /// Renews a component of an item: its clock starts again, and what was drawn for the stay so far is stale.
    pub(super) fn renew(&mut self, item: u32, part: usize, is_changed: bool, bad: u8) {
        self.end_stay(item);
        let cleared =
            (0..self.bad.len()).filter(|&place| self.products.hazards[self.bad[place].hazard].part == part);
        let cleared = cleared.fold(0, |flags, place| flags | 1 << place);
        let replaced = (0..self.bad.len()).filter(|&place| self.is_in(self.bad[place].lot, part));
        let cleared = replaced.fold(cleared, |flags, place| flags | CONTAINS[place]);
        let stay = &mut self.fleet.items[item as usize];
        self.fleet.renewals.entry(item).or_default().push(Renewal { part, worn: stay.worn });
        stay.renewed = true;
        stay.flags = (stay.flags & !cleared) | bad;
        if is_changed {
            stay.flags |= CHANGED;
        }
        self.begin_stay(item);
    }

    /// Whether a component lot is one of a part, or of what the part is cut from.
    fn is_in(&self, lot: u32, part: usize) -> bool {
        let Made::Part(made) = self.lots.list[lot as usize].made else { return false };
        made == part || self.products.parts[part].material == Some(self.products.parts[made].no)
    }

    /// Years of mean use an item has today.
    pub(super) fn worn_now(&self, item: u32) -> f64 {
        let stay = &self.fleet.items[item as usize];
        if stay.unit == super::fleet::NOWHERE {
            return stay.worn;
        }
        let unit = &self.organisation.units[stay.unit as usize];
        stay.worn
            + unit.use_factor
                * (self.calendar.worn(unit.season, self.today) - self.calendar.worn(unit.season, stay.since))
    }

    /// Adds to the tally what today's stay of an item with a bad lot should have brought in reports, and what it would have without.
    pub(super) fn settle(&mut self, item: u32) {
        let stay = &self.fleet.items[item as usize];
        if !stay.has_bad_lot() || stay.unit == super::fleet::NOWHERE || !self.is_recorded() {
            return;
        }
        let reporting = self.organisation.units[stay.unit as usize].reporting;
        let now = self.worn_now(item);
        for (place, bad) in self.bad.iter().enumerate().filter(|(place, _)| stay.flags & (1 << place) != 0) {
            let hazard = &self.products.hazards[bad.hazard];
            let offset = self.fleet.renewal(item, hazard.part).map_or(0.0, |renewal| renewal.worn);
            let failures = hazard.cumulative(now - offset) - hazard.cumulative(stay.worn - offset);
            self.tally.bad[place].expected_base += failures * reporting;
            self.tally.bad[place].expected_excess += failures * reporting * (bad.factor - 1.0);
        }
    }
}
