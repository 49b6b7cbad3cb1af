//! Whether units tell as much since a change as before it: the reporting fraction of what it is to cure, from the inspections
//! on either side of the cut-in.
//!
//! An inspection finds what has come about since the items went into service. Of what one since the cut-in finds on items
//! from before the change, a part is older than the cut-in: it is taken out by the share of the items' time in service.
//! Where wear or mending makes the older part smaller than that, the share told since comes out too high, never too low: a
//! fall is said too seldom rather than too often. Proof and verdict know nothing of this; it stands beside them.

use std::cmp::Reverse;

use stats::Interval;
use stats::product::{Estimate, quotient};

use super::benefit::ChangeResult;
use super::ground::Ground;
use super::proof::Proof;
use super::reporting::{AtUnit, CorrectedRate, Look, ReportingFraction, at_units_since, of_all};
use super::seen::{Seen, comparable};
use super::service::Service;
use super::side::{Side, Sides};
use super::side_effects::StillTold;
use super::window::Window;
use crate::change::ChangeState;
use crate::field::{ChangeFacts, Day, Field, Id as _, InspectionFacts, ModeId, Stock, UnitId};
use crate::words::words;

words! {
    /// What both shares say together.
    pub enum ToldSince {
        /// The interval of their ratio lies below 1.
        Less = "less than before",
        /// It lies above 1.
        More = "more than before",
        /// It includes 1.
        Open = "cannot be told",
        /// Nobody looked before the cut-in.
        NoneBefore = "no inspection before the cut-in",
        /// Nobody has looked since.
        NoneSince = "no inspection since the cut-in",
        /// Nobody has looked at all.
        Never = "no inspection",
    }
}

/// A unit whose reports stopped with the cut-in, though it should have sent some by its own pace before and what it holds goes
/// on failing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stopped {
    /// The unit.
    pub unit: UnitId,
    /// Reports of its own accord before the cut-in; since then there is none.
    pub reports_before: u64,
    /// Items with the part that it holds now.
    pub holds: u64,
    /// Items looked at since the cut-in.
    pub inspected: u64,
    /// Of these, showing what the change is to cure.
    pub found: u64,
}

/// How much of what a change is to cure was told before the cut-in and is told since.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Telling {
    /// Share reported of what inspections up to the cut-in found; `None` without one.
    pub before: Option<ReportingFraction>,
    /// Share reported of what came since and inspections since found; `None` without one.
    pub since: Option<ReportingFraction>,
    /// The same where lots from before the change were looked at by number.
    pub since_on_old: Option<ReportingFraction>,
    /// The same where lots built to the change were looked at by number.
    pub since_on_new: Option<ReportingFraction>,
    /// Share since over share before, with 95 % limits.
    pub ratio: Option<Estimate>,
    /// The rate of items before the change, were all failures reported.
    pub corrected_before: Option<CorrectedRate>,
    /// The rate of items built to it, were all failures reported.
    pub corrected_after: Option<CorrectedRate>,
    /// The ratio of the proof, for one look, were all failures reported.
    pub corrected_ratio: Option<Estimate>,
    /// Units whose reports stopped, those with most found first.
    pub stopped: Vec<Stopped>,
}

impl Telling {
    /// What the shares say.
    pub fn says(&self) -> ToldSince {
        match (self.before, self.since, self.ratio) {
            (None, None, _) => ToldSince::Never,
            (None, Some(_), _) => ToldSince::NoneBefore,
            (Some(_), None, _) => ToldSince::NoneSince,
            (.., Some(ratio)) if ratio.interval.high < 1.0 => ToldSince::Less,
            (.., Some(ratio)) if ratio.interval.low > 1.0 => ToldSince::More,
            _ => ToldSince::Open,
        }
    }

    /// With the shares known, what follows from them for the rates and the ratio of the change.
    fn with_rates(self, result: &ChangeResult) -> Self {
        let corrected =
            |share: Option<ReportingFraction>, rate| share.zip(rate).and_then(|(s, r)| s.corrected(r));
        Self {
            corrected_before: corrected(self.before, result.rates_unasked[0]),
            corrected_after: corrected(self.since, result.rates_unasked[1]),
            corrected_ratio: self
                .ratio
                .zip(result.proof)
                .and_then(|(told, proof)| corrected_ratio(proof, told)),
            ..self
        }
    }
}

fn corrected_ratio(proof: Proof, told: Estimate) -> Option<Estimate> {
    let interval = Interval { low: proof.low?, high: proof.high? };
    quotient(Estimate { value: proof.ratio?, interval }, told).ok()
}

/// How much is told of what a built change is to cure; `None` where it isn't built by the date or nobody knows since when.
pub(super) fn telling(
    field: &Field,
    ground: &Ground,
    (seen, window): (&Seen, Window),
    change: &ChangeFacts,
    result: &ChangeResult,
) -> Option<Telling> {
    let is_built = change.state.is_some_and(ChangeState::is_built);
    let cut_in = change.cut_in_on.filter(|&cut_in| is_built && cut_in <= ground.as_of)?;
    let looked_for = ground.inspected().filter(|(part, _)| *part == change.part).map(|(_, mode)| mode);
    let modes: Vec<ModeId> = looked_for.filter(|&mode| change.is_against(mode)).collect();
    if modes.is_empty() {
        return Some(Telling::default());
    }
    let books = Books {
        field,
        seen,
        service: &Service::new(field, ground, change.part),
        sides: &Sides::new(field, change),
        cut_in,
    };
    let (mut before, mut since, mut on_old, mut on_new) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    for mode in modes {
        let (early, late): (Vec<InspectionFacts>, Vec<_>) =
            ground.inspections_of(change.part, mode).iter().partition(|look| look.day <= cut_in);
        let early: Vec<Look> = early.into_iter().map(|facts| Look { facts, counts: 1.0 }).collect();
        // On the latest weeks reports are still to come, which would look like silence.
        let late = late.into_iter().filter(|look| look.day <= window.to);
        let late: Vec<Look> = late.filter_map(|facts| books.part_since(facts)).collect();
        let of_side = |side: Side| -> Vec<Look> {
            let of = |look: &&Look| look.facts.lot.is_some_and(|lot| books.sides.of_lot(lot) == side);
            late.iter().filter(of).copied().collect()
        };
        before.extend(at_units_since(field, seen, books.service, &early, Day(i32::MIN)));
        since.extend(books.held_against(&late));
        on_old.extend(books.held_against(&of_side(Side::Before)));
        on_new.extend(books.held_against(&of_side(Side::After)));
    }
    let (share_before, share_since) = (of_all(&before), of_all(&since));
    let both = share_before.zip(share_since);
    let found = Telling {
        before: share_before,
        since: share_since,
        since_on_old: of_all(&on_old),
        since_on_new: of_all(&on_new),
        ratio: both.and_then(|(before, since)| quotient(since.estimate(), before.estimate()).ok()),
        stopped: books.stopped(change, &since, result.still_told.as_ref(), ground.as_of),
        ..Telling::default()
    };
    Some(found.with_rates(result))
}

/// What inspections since the cut-in are held against.
struct Books<'a> {
    field: &'a Field,
    seen: &'a Seen,
    service: &'a Service,
    sides: &'a Sides<'a>,
    cut_in: Day,
}

impl Books<'_> {
    /// An inspection since the cut-in with the share of its failures that came since; `None` where the books know of no time
    /// in service of what it looked at.
    fn part_since(&self, facts: InspectionFacts) -> Option<Look> {
        let of_lot = |stock| match stock {
            Stock::Lot(lot) => self.sides.of_lot(lot),
            Stock::Unknown(..) => Side::Neither,
        };
        let stock = facts.lot.map(Stock::Lot);
        let stays =
            stock.map_or_else(|| self.service.at_unit(facts.unit), |s| self.service.of_stock(facts.unit, s));
        let days_since = facts.day.0 - self.cut_in.0;
        let (mut any_new, mut days, mut since) = (false, 0.0, 0.0);
        for stay in stays.iter().filter(|stay| stay.covers(facts.day)) {
            // Items built to the change fail by another rate, so the older ones alone tell how old a failure is.
            if of_lot(stay.stock) == Side::After {
                any_new = true;
                continue;
            }
            let age = stay.age_on(facts.day);
            days += f64::from(stay.quantity) * f64::from(age);
            since += f64::from(stay.quantity) * f64::from(age.min(days_since));
        }
        let counts = if days > 0.0 { Some(since / days) } else { any_new.then_some(1.0) };
        counts.map(|counts| Look { facts, counts })
    }

    fn held_against(&self, looks: &[Look]) -> Vec<AtUnit> {
        at_units_since(self.field, self.seen, self.service, looks, self.cut_in)
    }

    /// Units that hold the part, sent nothing since the cut-in though they should have by their own pace before, and where it
    /// was found since.
    fn stopped(
        &self,
        change: &ChangeFacts,
        since: &[AtUnit],
        still_told: Option<&StillTold>,
        as_of: Day,
    ) -> Vec<Stopped> {
        let silent = still_told.map_or(&[][..], |told| &told.silent);
        let should_have_sent = |unit: UnitId| silent.iter().any(|&(one, _)| one == unit);
        // Reports before and since, by unit.
        let mut told = vec![(0, 0); self.field.units.len()];
        let of_part = self.seen.of_part(change.part);
        let concerned = of_part.filter(|(mode, _)| change.is_against(*mode));
        for report in concerned.flat_map(|(_, group)| group).map(|&id| &self.field.reports[id]) {
            let (before, since) = &mut told[report.unit.index()];
            // One that a notice called for says nothing of willingness, but breaks no silence either.
            if comparable(report) {
                *(if report.found_on < self.cut_in { before } else { since }) += 1;
            }
        }
        let mut looked: Vec<(UnitId, (u64, u64))> =
            since.iter().map(|at| (at.unit, at.looked_at())).collect();
        looked.sort_unstable();
        let units = looked.chunk_by(|a, b| a.0 == b.0).map(|of_unit| {
            let sum =
                |part: fn((u64, u64)) -> u64| of_unit.iter().map(|(_, looked)| part(*looked)).sum::<u64>();
            let unit = of_unit[0].0;
            let stopped = Stopped {
                unit,
                reports_before: told[unit.index()].0,
                holds: self.service.items_on(unit, None, as_of),
                inspected: sum(|looked| looked.0),
                found: sum(|looked| looked.1),
            };
            (stopped, told[unit.index()].1)
        });
        let mut units: Vec<Stopped> = units
            .filter(|(unit, since)| {
                *since == 0 && should_have_sent(unit.unit) && unit.holds > 0 && unit.found > 0
            })
            .map(|(unit, _)| unit)
            .collect();
        units.sort_by_key(|unit| (Reverse(unit.found), unit.unit));
        units
    }
}
