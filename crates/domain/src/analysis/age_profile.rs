//! Failures of one part by age in service.
//!
//! Ages are counted in weeks, so that a fit costs the same for a million reports as for a thousand. An item known by number
//! has its own age; a report with a known lot has the ages of that lot's items at the unit on that day, each as probable as
//! its number and hazard make it; else the weeks worn that the report gives, give or take; else it has no age and is counted
//! apart. What was found by an inspection failed since the unit last looked its items over, and what nobody has looked at since
//! may hold as many more.

use std::borrow::Cow;

use super::at_risk::{AtRisk, group};
use super::forecast::Changed;
use super::outlook::PartOutlook;
use super::rounds::Rounds;
use super::seen::{Row, comparable};
use super::service::Stay;
use crate::field::{DAYS_PER_YEAR, Day, Field, Id as _, LotId, PartId, ReportFacts, Stock, UnitId};
use crate::report::{FoundWhen, ItemFate};

/// Days of one step of age.
pub(super) const STEP: i32 = 7;

/// Oldest age told apart, in steps.
pub(super) const LAST: usize = 52 * 40;

/// People remember weeks roughly: the true number is taken to lie between these multiples.
const REMEMBERED: (f32, f32) = (0.7, 1.4);

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
    /// Whether it failed at one of these ages and somebody remembers which, roughly; else it failed at any time between.
    pub(super) is_remembered: bool,
}

/// The looks at a part and at the items that contain it.
#[derive(Clone, Copy)]
struct Looks<'a> {
    rounds: &'a Rounds,
    part: PartId,
}

impl Looks<'_> {
    /// The last before a day at what a report is of.
    fn last_before(self, report: &ReportFacts, day: Day) -> Day {
        self.rounds.last_before(report.unit, [report.item, self.part], day)
    }
}

/// What is known of the failures and the exposure of a recurrence by age.
pub(super) struct AgeProfile<'a> {
    /// What was at risk by age.
    pub(super) at_risk: Cow<'a, AtRisk>,
    /// Failures with an age, by unit and whether they are of items built to a change, as far as they are of items at risk.
    pub(super) by_group: Vec<f64>,
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
    /// The profile of the reports of one mode, over what was at risk of the part; items built to the last change against the
    /// mode stand apart.
    pub(super) fn new(
        field: &Field,
        outlook: &'a PartOutlook<'_>,
        changed: Option<&'a Changed<'_>>,
        rows: &[Row],
    ) -> Self {
        let PartOutlook { part, service, window, .. } = *outlook;
        let ledger = &outlook.ground.ledger;
        let looks = Looks { rounds: &outlook.ground.rounds, part };
        let units = field.units.len();
        let mut profile = Self {
            at_risk: Cow::Borrowed(changed.map_or(&outlook.at_risk, |changed| &changed.at_risk)),
            by_group: vec![0.0; 2 * units],
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
        // Of which side of the change nothing tells, and of these whose items aren't known either.
        let (mut untold, mut remembered) = (vec![0.0; units], vec![0.0; units]);
        let mut found_on: Vec<Option<Day>> = vec![None; units];
        // Rows come by lot and unit, so that each place is looked up once.
        let mut place: Option<((UnitId, LotId), &[Stay])> = None;
        for row in rows.iter().filter(|row| comparable(&row.report)) {
            let Row { report, resolved } = row;
            if !window.has(report.found_on) {
                profile.too_recent += u32::from(report.found_on > window.to);
                continue;
            }
            let before = profile.possible.len();
            if let Some(age) = ledger.own_age_days(report, part) {
                profile.own(looks, report, age);
            } else if let Some(lot) = resolved.lot {
                let stays = match place {
                    Some((known, stays)) if known == (report.unit, lot) => stays,
                    _ => service.of_stock(report.unit, Stock::Lot(lot)),
                };
                place = Some(((report.unit, lot), stays));
                profile.place(looks, stays, report);
                if profile.possible.len() == before && stays.iter().any(|stay| !stay.age_known) {
                    profile.age_not_on_record += 1;
                    continue;
                }
            }
            let is_placed = profile.possible.len() > before;
            if !is_placed {
                profile.remembered(report);
            }
            if profile.possible.len() == before {
                profile.without_age += 1;
                continue;
            }
            profile.ends.push(profile.possible.len());
            let is_built = changed.map_or(Some(false), |changed| changed.is_of_built(row));
            match is_built.filter(|_| is_placed) {
                Some(is_built) => profile.by_group[group(report.unit, is_built)] += 1.0,
                None if is_placed => untold[report.unit.index()] += 1.0,
                None => remembered[report.unit.index()] += 1.0,
            }
            profile.kept += u32::from(report.item_fate == Some(ItemFate::Kept));
            profile.fate_told += u32::from(report.item_fate.is_some());
            if report.found_when == Some(FoundWhen::Inspection) {
                profile.found_at_inspection += 1;
                let last = &mut found_on[report.unit.index()];
                *last = (*last).max(Some(report.found_on));
            }
        }
        profile.share_out(&untold, &remembered);
        if profile.found_at_inspection > 0 {
            let looked_at = |unit: UnitId| {
                let of = outlook.looked_at.iter().copied();
                let last = looks.rounds.last_before(unit, of, Day(window.to.0 + 1));
                found_on[unit.index()].map_or(last, |found| found.max(last)).min(window.to)
            };
            let is_built = |stay: &Stay| changed.is_some_and(|changed| changed.has(stay));
            let looked = AtRisk::new(service, window.from, looked_at, is_built);
            let share = f64::from(profile.found_at_inspection) / f64::from(profile.failures());
            profile.at_risk = Cow::Owned(profile.at_risk.seen_by(&looked, share));
        }
        profile
    }

    /// Shares out the failures whose items aren't known, of which some have an age that is remembered, by unit: to the items at
    /// risk, and to those that were there before records began. To these as many as they have of the known ones; and as
    /// many as they lack, were they to fail as often, where it is their labels that can't be read. And those of which nothing
    /// tells whether they are of items built to a change, as these and the others fail.
    fn share_out(&mut self, untold: &[f64], remembered: &[f64]) {
        let unknown = f64::from(self.without_age) + remembered.iter().sum::<f64>();
        let known = self.by_group.iter().chain(untold).sum::<f64>();
        let others = f64::from(self.age_not_on_record);
        let lacking = (known + others + unknown) * (1.0 - self.at_risk.share_aged) - others;
        let as_known = if others > 0.0 { unknown * others / (known + others) } else { 0.0 };
        let of_others = lacking.max(as_known).min(unknown);
        let share = if unknown > 0.0 { 1.0 - of_others / unknown } else { 1.0 };
        let built = self.at_risk.shares_built(&self.by_group);
        for ((of_unit, built), (untold, remembered)) in
            self.by_group.chunks_exact_mut(2).zip(built).zip(untold.iter().zip(remembered))
        {
            let more = untold + share * remembered;
            of_unit[0] += more * (1.0 - built);
            of_unit[1] += more * built;
        }
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
    fn place(&mut self, looks: Looks<'_>, stays: &[Stay], report: &ReportFacts) {
        let found = report.found_on;
        let before = |stay: &Stay| stay.from < found && found <= stay.to;
        if self.place_on(found, looks, stays, report, before)
            || self.place_on(found, looks, stays, report, |stay| stay.covers(found))
        {
            return;
        }
        if let Some(last) = stays.iter().map(|stay| stay.to).filter(|&to| to <= found).max() {
            self.place_on(last, looks, stays, report, |stay| stay.to == last);
        }
    }

    /// The ages on a day of the items there by a test; whether there were any, of an age on record or not.
    fn place_on(
        &mut self,
        on: Day,
        looks: Looks<'_>,
        stays: &[Stay],
        report: &ReportFacts,
        is_there: impl Fn(&Stay) -> bool,
    ) -> bool {
        let mut any = false;
        let is_latent = report.found_when == Some(FoundWhen::Inspection);
        let last_look = is_latent.then(|| looks.last_before(report, on));
        for stay in stays.iter().filter(|stay| is_there(stay)) {
            any = true;
            if stay.age_known {
                let high = step_of(stay.age_on(on));
                let low = last_look.map_or(high, |look| step_of(stay.age_on(look.max(stay.from))));
                self.push(low, high, stay.quantity, false);
            }
        }
        any
    }

    /// The age of the very item; one found at an inspection failed since the unit last looked.
    fn own(&mut self, looks: Looks<'_>, report: &ReportFacts, age: i32) {
        let since_round = if report.found_when == Some(FoundWhen::Inspection) {
            report.found_on.0.saturating_sub(looks.last_before(report, report.found_on).0).min(age)
        } else {
            0
        };
        self.push(step_of(age - since_round), step_of(age), 1, false);
    }

    fn remembered(&mut self, report: &ReportFacts) {
        if let Some(weeks) = report.worn_weeks.filter(|weeks| *weeks >= 0.0) {
            let step = |share: f32| step_of((share * weeks * 7.0).min(1e6) as i32);
            self.push(step(REMEMBERED.0), step(REMEMBERED.1), 1, true);
        }
    }

    fn push(&mut self, low: usize, high: usize, items: u32, is_remembered: bool) {
        // An age that nobody had on record is taken as the greatest that somebody had.
        let Some(last) = self.at_risk.all.len().checked_sub(1) else { return };
        let (low, high) = (low.min(last) as u16, high.min(last) as u16);
        match self.possible.get_mut(self.ends.last().copied().unwrap_or(0)..) {
            Some(own) if own.last().is_some_and(|p| (p.low, p.high) == (low, high)) => {
                let own = own.last_mut().expect("looked at just now");
                own.items = own.items.saturating_add(items);
            }
            _ => self.possible.push(Possible { low, high, items, is_remembered }),
        }
    }
}
