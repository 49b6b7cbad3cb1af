//! Failures as they happen: whether the unit writes, and what becomes of the item.

use super::SimulateError;
use super::books::Line;
use super::dice::Dice;
use super::fleet::{CONTAINS, NOWHERE};
use super::lots::is_tracked;
use super::prospect::ARRIVAL_REPORTED;
use super::reporting::Seen;
use super::world::{Event, Phase, World};

/// Share of failures in which other items of the lot fail on the same occasion.
const SHARED_OCCASION: f64 = 0.02;
/// Days in which a notice is on people's minds.
pub(super) const NOTICE_DAYS: i32 = 45;
/// How much more willing a notice makes them.
const NOTICE_PULL: f64 = 1.6;
/// Reports of a bad lot that make the service send a notice.
const NOTICE_AFTER: u64 = 9;

/// What became of an item, as the pack's word; with chances when it is reported.
pub(super) const FATES: [(&str, f64); 6] = [
    ("kept", 0.30),
    ("repaired", 0.52),
    ("exchanged", 0.08),
    ("withdrawn", 0.05),
    ("lost", 0.01),
    ("exhibit", 0.04),
];
const FOUND: [(&str, f64); 6] = [
    ("in_use", 0.62),
    ("after_wash", 0.12),
    ("in_repair", 0.05),
    ("turn_in", 0.05),
    ("fitting", 0.06),
    ("inspection", 0.10),
];
/// Share of repairs that renew the component, and of those that go to the mending loft.
const RENEWED: f64 = 0.25;
const TO_THE_LOFT: f64 = 0.10;

impl World {
    /// A failure drawn earlier happens, if the item is still where it was.
    pub(super) fn happen(&mut self, event: Event) -> Result<(), SimulateError> {
        let stay = &self.fleet.items[event.item as usize];
        let hazard = usize::from(event.hazard);
        if stay.spell != event.spell || stay.unit == NOWHERE {
            return Ok(());
        }
        if self.fleet.scars_of(event.item).any(|scar| scar.open && usize::from(scar.hazard) == hazard) {
            return Ok(());
        }
        let (unit, lot) = (usize::from(stay.unit), stay.lot);
        let others = self.fleet.count(unit, |other| other == lot).saturating_sub(1);
        let extra = if self.dice.chance(SHARED_OCCASION) { others.min(1 + self.dice.below(3)) } else { 0 };
        let notice = self.notice_in_force(hazard);
        let willing = self.organisation.units[unit].reporting;
        let pull = if notice.is_some() { (willing * NOTICE_PULL).min(0.95) } else { willing };
        let is_reported = self.dice.chance(pull);
        self.count_failure(hazard, 1 + extra as u64, is_reported && notice.is_none());
        let fate = self.fate(is_reported);
        let found_when = FOUND[self.dice.weighted(&FOUND.map(|found| found.1))].0;
        if is_reported {
            let seen = Seen {
                item: event.item,
                lot,
                unit,
                hazard,
                quantity: 1 + extra as u32,
                found_when,
                notice,
                fate,
            };
            self.report(&seen)?;
        }
        self.meet(event.item, hazard, fate, is_reported)
    }

    fn count_failure(&mut self, hazard: usize, items: u64, is_voluntary: bool) {
        let tally = &mut self.tally.modes[hazard];
        match self.phase {
            Phase::Unrecorded => {}
            Phase::Recorded => {
                tally.failures += items;
                tally.reported += if is_voluntary { items } else { 0 };
            }
            Phase::Beyond => {
                tally.coming_failures += items;
                tally.coming_reports += u64::from(is_voluntary);
            }
        }
    }

    /// What becomes of the item: an unreported failure is worn on or mended on the spot.
    fn fate(&mut self, is_reported: bool) -> &'static str {
        if !is_reported {
            return if self.dice.chance(0.5) { "kept" } else { "repaired" };
        }
        let mut chances = FATES.map(|fate| fate.1);
        let leaving: f64 = chances[2..].iter().sum();
        chances[2..].iter_mut().for_each(|chance| *chance *= self.grain.leaving);
        chances[1] += leaving * (1.0 - self.grain.leaving);
        FATES[self.dice.weighted(&chances)].0
    }

    /// The item meets its fate.
    fn meet(&mut self, item: u32, hazard: usize, fate: &str, is_reported: bool) -> Result<(), SimulateError> {
        let unit = usize::from(self.fleet.items[item as usize].unit);
        let lot = self.fleet.items[item as usize].lot;
        match fate {
            "kept" => self.wear_on(item, hazard, is_reported),
            "repaired" => self.mend(item, hazard, is_reported)?,
            "exchanged" => {
                self.book(Line {
                    kind: "return",
                    lot,
                    unit,
                    quantity: 1,
                    reason: "damaged",
                    ..Line::default()
                })?;
                *self.flow.condemned.entry(lot).or_default() += 1;
                self.leave(item)?;
            }
            "lost" => {
                self.book(Line { kind: "loss", lot, unit, quantity: 1, ..Line::default() })?;
                self.leave(item)?;
            }
            _ => {
                self.book(Line { kind: "retire", lot, unit, quantity: 1, ..Line::default() })?;
                self.leave(item)?;
            }
        }
        Ok(())
    }

    /// Worn on unmended: it can't fail so again, so a bad lot has done its worst on it.
    fn wear_on(&mut self, item: u32, hazard: usize, is_reported: bool) {
        self.fleet.scar(item, hazard, true, is_reported);
        let done = (0..self.bad.len())
            .filter(|&place| self.bad[place].hazard == hazard)
            .fold(0, |flags, place| flags | 1 << place);
        if self.fleet.items[item as usize].flags & done != 0 {
            self.end_stay(item);
            self.fleet.items[item as usize].flags &= !done;
            self.begin_stay(item);
        }
    }

    fn mend(&mut self, item: u32, hazard: usize, is_reported: bool) -> Result<(), SimulateError> {
        self.fleet.scar(item, hazard, false, is_reported);
        let stay = &self.fleet.items[item as usize];
        let (unit, lot, flags) = (usize::from(stay.unit), stay.lot, stay.flags);
        let part = self.products.hazards[hazard].part;
        let design = self.products.parts[part];
        let has_change = part == self.change.part && flags & super::fleet::CHANGED != 0;
        if is_tracked(design.kind)
            && self.dice.chance(RENEWED * self.grain.leaving)
            && let Some(new_lot) = self.lots.newest(part, usize::from(has_change), self.today)
        {
            let new_no = self.lots.list[new_lot as usize].no.clone();
            self.write_event(unit, Some(item), lot, 1, ["part_replaced", design.no, &new_no, ""])?;
            self.draw_spare(part);
            let bad =
                (0..self.bad.len()).fold(0, |flags, place| flags | self.bad_in_spare(place, new_lot, item));
            self.renew(item, part, has_change, bad);
        } else if self.dice.chance(0.5 * self.grain.leaving) {
            self.write_event(unit, Some(item), lot, 1, ["repair", design.no, "", "back in use"])?;
            if is_tracked(design.kind) && self.dice.chance(0.2) {
                self.draw_spare(part);
            }
        }
        if self.phase != Phase::Beyond && self.dice.chance(TO_THE_LOFT * self.grain.leaving) {
            self.book(Line { kind: "return", lot, unit, quantity: 1, reason: "repair", ..Line::default() })?;
            self.leave(item)?;
            let back = self.today + self.dice.days(15, 60);
            self.flow.away.push((back, item, unit, true));
        }
        Ok(())
    }

    /// The flags that a spare part of a lot brings with one of the bad lots: it is of that lot, or was made from it.
    fn bad_in_spare(&self, place: usize, new_lot: u32, item: u32) -> u8 {
        let bad = self.bad[place].lot;
        if bad == new_lot {
            return 1 << place | CONTAINS[place];
        }
        let spare = &self.lots.list[new_lot as usize];
        let made_from = spare.uses.iter().find(|(used, _)| *used == bad);
        let share = made_from.map_or(0.0, |&(_, n)| f64::from(n) / f64::from(spare.quantity.max(1)));
        // Scattered over the items without a draw, so that what follows in a world stays as it is.
        let scattered = f64::from(item.wrapping_mul(2_654_435_761) >> 16) / 65_536.0;
        if scattered < share { CONTAINS[place] } else { 0 }
    }

    fn draw_spare(&mut self, part: usize) {
        if self.is_recorded() {
            let month = self.calendar.month(self.today).to_owned();
            *self.tally.demand.entry((month, part)).or_default() += 1;
        }
    }

    /// A new item is looked over on the day it is issued.
    pub(super) fn look_over(&mut self, item: u32) -> Result<(), SimulateError> {
        let (lot, unit) =
            (self.fleet.items[item as usize].lot, usize::from(self.fleet.items[item as usize].unit));
        let product = &self.products.items[self.product_of(lot)];
        let faults: Vec<f64> = product.hazards.iter().map(|&h| self.products.hazards[h].arrival).collect();
        let hazards = &product.hazards;
        if !self.dice.chance(faults.iter().sum()) {
            return Ok(());
        }
        let hazard = hazards[self.dice.weighted(&faults)];
        if self.is_recorded() {
            self.tally.modes[hazard].on_receipt += 1;
        }
        if self.dice.chance(ARRIVAL_REPORTED) {
            let seen = Seen {
                item,
                lot,
                unit,
                hazard,
                quantity: 1,
                found_when: "on_receipt",
                notice: None,
                fate: "exchanged",
            };
            self.report(&seen)?;
            self.meet(item, hazard, "exchanged", true)?;
        }
        Ok(())
    }

    /// The place of the notice about a mode that is on people's minds today.
    fn notice_in_force(&self, hazard: usize) -> Option<usize> {
        (0..self.bad.len()).find(|&place| {
            let sent = self.notices[place].as_ref().map(|notice| notice.1);
            self.bad[place].hazard == hazard
                && sent.is_some_and(|day| (day..=day + NOTICE_DAYS).contains(&self.today))
        })
    }

    /// A notice goes out once enough reports of a bad lot are in, and no sooner than it could still be acted on.
    pub(super) fn consider_notice(&mut self) {
        for place in 0..self.bad.len() {
            let is_due = self.tally.bad[place].reports >= NOTICE_AFTER
                && self.today < self.calendar.end - 2 * NOTICE_DAYS;
            if self.is_recorded() && self.notices[place].is_none() && is_due {
                let number = format!("N-{}-{:02}", self.calendar.year2(self.today), place + 1);
                self.notices[place] = Some((number, self.today + 21));
            }
        }
    }
}

/// Whether a report tells of harm, and how bad; safety modes do more often.
pub(super) fn harm(dice: &mut Dice, category: u8) -> &'static str {
    let (injury, near_miss) = match category {
        2 => (0.006, 0.06),
        3 => (0.0008, 0.012),
        _ => (0.0, 0.002),
    };
    let draw = dice.unit();
    if draw < injury {
        "injury"
    } else if draw < injury + near_miss {
        "near_miss"
    } else {
        "none"
    }
}
