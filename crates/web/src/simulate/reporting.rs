//! What a unit sends in: the report of a failure with its delay, its label, its words, and sometimes its double.

use super::SimulateError;
use super::change::letter;
use super::failures::harm;
use super::labels::{self, Label};
use super::lots::MAKERS;
use super::narratives::{self, Voice};
use super::tally::report_ref;
use super::world::{Phase, World};

/// Chance that a failure is not one of the equipment at all, or not of its design.
pub(super) const IRRELEVANT: f64 = 0.02;
pub(super) const NOT_CHARGEABLE: f64 = 0.04;
/// Share of old reports still without part and mode; of recent ones.
pub(super) const UNSORTED: f64 = 0.015;
pub(super) const UNSORTED_RECENT: f64 = 0.4;
/// Days after which a report is no longer recent, and after which it has been judged.
const RECENT_DAYS: i32 = 45;
const JUDGED_DAYS: i32 = 90;

/// A failure as its unit sees it.
pub(super) struct Seen {
    pub(super) item: u32,
    pub(super) lot: u32,
    pub(super) unit: usize,
    pub(super) hazard: usize,
    pub(super) quantity: u32,
    pub(super) found_when: &'static str,
    /// Place of the notice that made them look.
    pub(super) notice: Option<usize>,
    pub(super) fate: &'static str,
}

impl World {
    /// Sends the report, and now and then sends it again.
    pub(super) fn report(&mut self, seen: &Seen) -> Result<(), SimulateError> {
        if self.phase != Phase::Recorded {
            return Ok(());
        }
        let delay = self.teller.exponential() * self.organisation.units[seen.unit].delay_days;
        let delay = if self.teller.chance(0.15) { 0 } else { delay as i32 };
        let harm = harm(&mut self.teller, self.products.hazards[seen.hazard].severity.category());
        let first = self.write_report(seen, self.today, self.today + delay, harm)?;
        if self.teller.chance(self.request.doubles) {
            let found = (self.today + self.teller.days(-2, 1)).max(0);
            let sent = (self.today + delay).max(found) + self.teller.days(0, 20);
            let second = self.write_report(seen, found.min(sent), sent, harm)?;
            if let (Some(first), Some(second)) = (first, second) {
                self.tally.doubles.push((first, second));
                self.tally.modes[seen.hazard].doubles += 1;
            }
        }
        self.count_bad(seen, first.is_some());
        Ok(())
    }

    fn count_bad(&mut self, seen: &Seen, has_arrived: bool) {
        let flags = self.fleet.items[seen.item as usize].flags;
        for place in 0..self.bad.len() {
            if has_arrived
                && seen.notice.is_none()
                && self.bad[place].hazard == seen.hazard
                && flags & (1 << place) != 0
            {
                self.tally.bad[place].reports += 1;
            }
        }
    }

    /// Writes a report and gives its number; `None` where it arrives after the end.
    fn write_report(
        &mut self,
        seen: &Seen,
        found_on: i32,
        received_on: i32,
        harm: &str,
    ) -> Result<Option<u32>, SimulateError> {
        if received_on > self.calendar.end {
            self.tally.in_the_post += 1;
            self.tally.modes[seen.hazard].in_the_post +=
                u64::from(seen.notice.is_none() && seen.found_when != "on_receipt");
            return Ok(None);
        }
        self.tally.reports += 1;
        let number = self.tally.reports;
        let served = self.served(seen.item);
        let label = self.label(seen, number, served);
        let is_recent = received_on > self.calendar.end - RECENT_DAYS;
        let is_unsorted = self.teller.chance(if is_recent { UNSORTED_RECENT } else { UNSORTED });
        self.count_report(seen, number, is_unsorted);
        let altered = ["no", "authorised", "by_unit", ""][self.teller.weighted(&[0.82, 0.04, 0.02, 0.12])];
        let (relevant, chargeable) = self.judge(received_on, is_unsorted, altered);
        let narrative = self.narrative(seen);
        let worn_weeks = self.worn_weeks(served);
        let lot = &self.lots.list[seen.lot as usize];
        let size = &self.products.sizes[self.size_of(seen.lot)];
        let mode = &self.products.hazards[seen.hazard];
        let serial = self.serial(seen.item).filter(|_| self.teller.chance(0.65)).unwrap_or_default();
        let (maker, contract) = if self.teller.chance(0.35) {
            (MAKERS[lot.maker].0, contract_no(&self.calendar, lot.maker, lot.made_on))
        } else {
            ("", String::new())
        };
        let sorted = if is_unsorted { ("", "") } else { (self.products.parts[mode.part].no, mode.mode) };
        let received = if received_on == found_on { "" } else { self.calendar.date(received_on) };
        let notice =
            seen.notice.and_then(|place| self.notices[place].as_ref()).map_or("", |notice| &notice.0);
        let work = self.organisation.work(seen.unit);
        let activity = if seen.found_when == "in_use" { *self.teller.pick(work) } else { "" };
        self.books.reports.row([
            report_ref(number).as_str(),
            self.calendar.date(found_on),
            received,
            &self.organisation.units[seen.unit].code,
            self.products.items[size.product].design.no,
            if self.teller.chance(0.92) { size.name } else { "" },
            &serial,
            &label.text,
            label.known,
            maker,
            &contract,
            if self.teller.chance(0.2) { self.calendar.month(lot.made_on) } else { "" },
            sorted.0,
            sorted.1,
            &narrative,
            activity,
            seen.found_when,
            &worn_weeks,
            altered,
            notice,
            harm,
            seen.fate,
            relevant,
            chargeable,
            &if seen.quantity == 1 { String::new() } else { seen.quantity.to_string() },
        ])?;
        Ok(Some(number))
    }

    fn label(&mut self, seen: &Seen, number: u32, served: i32) -> Label {
        let true_no = &self.lots.list[seen.lot as usize].no;
        let label = labels::read(&mut self.teller, self.request.bad_labels, true_no, served);
        if label.is_bad {
            self.tally.labels.push((number, seen.lot));
        }
        label
    }

    fn count_report(&mut self, seen: &Seen, number: u32, is_unsorted: bool) {
        let tally = &mut self.tally.modes[seen.hazard];
        tally.reports += 1;
        tally.prompted += u64::from(seen.notice.is_some());
        if is_unsorted {
            self.tally.unsorted.push((number, seen.hazard as u16));
        }
    }

    /// Older reports have been judged; recent ones wait.
    fn judge(&mut self, received_on: i32, is_unsorted: bool, altered: &str) -> (&'static str, &'static str) {
        let is_judged = received_on <= self.calendar.end - JUDGED_DAYS && self.teller.chance(0.92);
        if is_unsorted || !is_judged {
            return ("", "");
        }
        if self.teller.chance(IRRELEVANT) {
            return ("no", "no");
        }
        let is_theirs = altered == "by_unit" || self.teller.chance(NOT_CHARGEABLE);
        ("yes", if is_theirs { "no" } else { "yes" })
    }

    /// People remember weeks roundly, or not at all.
    fn worn_weeks(&mut self, served: i32) -> String {
        if self.teller.chance(0.3) {
            return String::new();
        }
        let remembered = f64::from(served) / 7.0 * (0.3 * self.teller.normal()).exp();
        let step = if remembered > 60.0 {
            26.0
        } else if remembered > 12.0 {
            4.0
        } else {
            1.0
        };
        format!("{}", (remembered / step).round() * step)
    }

    fn narrative(&mut self, seen: &Seen) -> String {
        let mode = &self.products.hazards[seen.hazard];
        let voice = Voice {
            style: self.organisation.units[seen.unit].voice,
            work: self.organisation.work(seen.unit),
            calls: self.products.parts[mode.part].calls,
            item: self.products.items[self.product_of(seen.lot)].design.name,
        };
        narratives::tell(&mut self.teller, &voice, mode.mode, seen.quantity, seen.found_when)
    }
}

/// A maker's contract of a year.
pub(super) fn contract_no(calendar: &super::calendar::Calendar, maker: usize, day: i32) -> String {
    format!("C{}{:02}{}", calendar.year2(day), maker + 11, letter(maker % 3))
}
