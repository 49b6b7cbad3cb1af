//! Failures of one part by age in service.
//!
//! Ages are counted in weeks, so that a fit costs the same for a million reports as for a thousand. An item known by number
//! has its own age; a report with a known lot has the ages of that lot's items at the unit on that day, each as probable as
//! its number and hazard make it; else the weeks worn that the report gives, give or take; else it has no age and is counted
//! apart. What was found by an inspection failed since the unit last looked its items over.

use super::at_risk::AtRisk;
use super::outlook::PartOutlook;
use super::seen::{Row, comparable};
use super::service::Stay;
use crate::event::EventKind;
use crate::field::{DAYS_PER_YEAR, Day, Field, Id as _, LotId, ReportFacts, Stock, UnitId};
use crate::report::{FoundWhen, ItemFate};

/// Days of one step of age.
pub(super) const STEP: i32 = 7;

/// Oldest age told apart, in steps.
pub(super) const LAST: usize = 52 * 40;

/// People remember weeks roughly: the true number is taken to lie between these multiples.
pub(super) const REMEMBERED: (f32, f32) = (0.7, 1.4);

/// Years of one step of age.
pub(super) const STEP_YEARS: f64 = STEP as f64 / DAYS_PER_YEAR;

/// The step of an age in days.
pub(super) fn step_of(days: i32) -> usize {
    ((days.max(0) / STEP) as usize).min(LAST)
}

/// One possible age of a failed item: the first and last step, with the items that have it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Possible {
    pub(super) low: u16,
    pub(super) high: u16,
    pub(super) items: u32,
}

/// What is known of the failures and the exposure of a recurrence by age.
pub(super) struct AgeProfile<'a> {
    /// What was at risk by age.
    pub(super) at_risk: &'a AtRisk,
    /// Failures with an age, by unit, as far as they are of items at risk.
    pub(super) by_unit: Vec<f64>,
    /// Failures of the items at risk, with an age or without.
    pub(super) of_items_at_risk: f64,
    /// Of these, items that are worn on unmended, and items of which it is told what became of them.
    pub(super) kept: u32,
    pub(super) fate_told: u32,
    /// Possible ages of each failure, one after the other.
    pub(super) possible: Vec<Possible>,
    /// Where each failure's possible ages end.
    pub(super) ends: Vec<usize>,
    /// Failures that were found by an inspection.
    pub(super) found_at_inspection: u32,
    /// Failures whose age is not known: no lot and no weeks worn.
    pub(super) without_age: u32,
    /// Failures of items that were there before records began.
    pub(super) age_not_on_record: u32,
    /// Failures found in the last days, for which not all reports have arrived.
    pub(super) too_recent: u32,
}

impl<'a> AgeProfile<'a> {
    /// The profile of the reports of one mode, over what was at risk of the part.
    pub(super) fn new(field: &Field, outlook: &'a PartOutlook<'_>, rows: &[Row]) -> Self {
        let PartOutlook { part, service, window, .. } = *outlook;
        let (ledger, rounds) = (&outlook.ground.ledger, &outlook.ground.rounds);
        let mut profile = Self {
            at_risk: &outlook.at_risk,
            by_unit: vec![0.0; field.units.len()],
            of_items_at_risk: 0.0,
            kept: 0,
            fate_told: 0,
            possible: Vec::new(),
            ends: Vec::new(),
            found_at_inspection: 0,
            without_age: 0,
            age_not_on_record: 0,
            too_recent: 0,
        };
        // Rows come by lot and unit, so that each place is looked up once.
        let mut remembered = vec![0.0; field.units.len()];
        let mut place: Option<((UnitId, LotId), &[Stay])> = None;
        for Row { report, resolved } in rows.iter().filter(|row| comparable(&row.report)) {
            if !window.has(report.found_on) {
                profile.too_recent += u32::from(report.found_on > window.to);
                continue;
            }
            let before = profile.possible.len();
            if let Some(age) = ledger.own_age_days(report, part) {
                profile.own(rounds, report, age);
            } else if let Some(lot) = resolved.lot {
                let stays = match place {
                    Some((known, stays)) if known == (report.unit, lot) => stays,
                    _ => service.of_stock(report.unit, Stock::Lot(lot)),
                };
                place = Some(((report.unit, lot), stays));
                profile.place(rounds, stays, report);
                if profile.possible.len() == before && stays.iter().any(|stay| !stay.age_known) {
                    profile.age_not_on_record += 1;
                    continue;
                }
            }
            let mut by_unit = &mut profile.by_unit;
            if profile.possible.len() == before {
                by_unit = &mut remembered;
                profile.remembered(report);
            }
            if profile.possible.len() == before {
                profile.without_age += 1;
                continue;
            }
            profile.ends.push(profile.possible.len());
            by_unit[report.unit.index()] += 1.0;
            profile.kept += u32::from(report.item_fate == Some(ItemFate::Kept));
            profile.fate_told += u32::from(report.item_fate.is_some());
            profile.found_at_inspection += u32::from(report.found_when == Some(FoundWhen::Inspection));
        }
        profile.share_out(&remembered);
        profile
    }

    /// Shares out the failures whose items aren't known, of which some have an age that is remembered, by unit: to the items at
    /// risk, and to those that were there before records began. To these as many as they have of the known ones; and as
    /// many as they lack, were they to fail as often, where it is their labels that can't be read.
    fn share_out(&mut self, remembered: &[f64]) {
        let unknown = f64::from(self.without_age) + remembered.iter().sum::<f64>();
        let (known, others): (f64, f64) = (self.by_unit.iter().sum(), f64::from(self.age_not_on_record));
        let lacking = (known + others + unknown) * (1.0 - self.at_risk.share_aged) - others;
        let as_known = if others > 0.0 { unknown * others / (known + others) } else { 0.0 };
        let of_others = lacking.max(as_known).min(unknown);
        let share = if unknown > 0.0 { 1.0 - of_others / unknown } else { 1.0 };
        self.by_unit.iter_mut().zip(remembered).for_each(|(sum, n)| *sum += share * n);
        self.of_items_at_risk = known + share * unknown;
    }

    /// Failures with an age.
    pub(super) fn failures(&self) -> u32 {
        self.ends.len() as u32
    }

    /// Of the failures with an age, the share whose items are worn on unmended, as far as that is told.
    pub(super) fn share_kept(&self) -> f64 {
        f64::from(self.kept) / f64::from(self.fate_told.max(1))
    }

    /// The ages of the items there when the day began, for what failed on it may have left or been mended by its end;
    /// where none was on record, of those that came on it, else of those that left last before it.
    fn place(&mut self, rounds: &Rounds, stays: &[Stay], report: &ReportFacts) {
        let found = report.found_on;
        let before = |stay: &Stay| stay.from < found && found <= stay.to;
        if self.place_on(found, rounds, stays, report, before)
            || self.place_on(found, rounds, stays, report, |stay| stay.covers(found))
        {
            return;
        }
        if let Some(last) = stays.iter().map(|stay| stay.to).filter(|&to| to <= found).max() {
            self.place_on(last, rounds, stays, report, |stay| stay.to == last);
        }
    }

    /// The ages on a day of the items there by a test; whether there were any, of an age on record or not.
    fn place_on(
        &mut self,
        on: Day,
        rounds: &Rounds,
        stays: &[Stay],
        report: &ReportFacts,
        is_there: impl Fn(&Stay) -> bool,
    ) -> bool {
        let mut any = false;
        for stay in stays.iter().filter(|stay| is_there(stay)) {
            any = true;
            if stay.age_known {
                let high = step_of(stay.age_on(on));
                let low = if report.found_when == Some(FoundWhen::Inspection) {
                    step_of(stay.age_on(rounds.last_before(report.unit, on).max(stay.from)))
                } else {
                    high
                };
                self.push(low, high, stay.quantity);
            }
        }
        any
    }

    /// The age of the very item; one found at an inspection failed since the unit last looked.
    fn own(&mut self, rounds: &Rounds, report: &ReportFacts, age: i32) {
        let since_round = if report.found_when == Some(FoundWhen::Inspection) {
            report.found_on.0.saturating_sub(rounds.last_before(report.unit, report.found_on).0).min(age)
        } else {
            0
        };
        self.push(step_of(age - since_round), step_of(age), 1);
    }

    fn remembered(&mut self, report: &ReportFacts) {
        if let Some(weeks) = report.worn_weeks.filter(|weeks| *weeks >= 0.0) {
            let step = |share: f32| step_of((share * weeks * 7.0).min(1e6) as i32);
            self.push(step(REMEMBERED.0), step(REMEMBERED.1), 1);
        }
    }

    fn push(&mut self, low: usize, high: usize, items: u32) {
        // An age that nobody had on record is taken as the greatest that somebody had.
        let Some(last) = self.at_risk.all.len().checked_sub(1) else { return };
        let (low, high) = (low.min(last) as u16, high.min(last) as u16);
        match self.possible.get_mut(self.ends.last().copied().unwrap_or(0)..) {
            Some(own) if own.last().is_some_and(|p| (p.low, p.high) == (low, high)) => {
                let own = own.last_mut().expect("looked at just now");
                own.items = own.items.saturating_add(items);
            }
            _ => self.possible.push(Possible { low, high, items }),
        }
    }
}

/// The days on which each unit is on record as having looked its items over.
pub(super) struct Rounds(Vec<(UnitId, Day)>);

impl Rounds {
    pub(super) fn new(field: &Field, as_of: Day) -> Self {
        let looked = field.inspections.iter().map(|i| (i.unit, i.day));
        let handled = field.events.iter().filter(|event| {
            matches!(event.kind, EventKind::Wash | EventKind::FunctionTest | EventKind::Repair)
        });
        let mut days: Vec<_> =
            looked.chain(handled.map(|e| (e.unit, e.day))).filter(|(_, day)| *day <= as_of).collect();
        days.sort_unstable();
        days.dedup();
        Self(days)
    }

    /// The last such day before another; long ago where there was none.
    fn last_before(&self, unit: UnitId, day: Day) -> Day {
        let at = self.0.partition_point(|&row| row < (unit, day));
        match at.checked_sub(1).map(|at| self.0[at]) {
            Some((there, last)) if there == unit => last,
            _ => Day(i32::MIN / 2),
        }
    }
}
