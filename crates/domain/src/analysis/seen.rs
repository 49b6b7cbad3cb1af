//! What had been received by the date: reports with their lots, grouped by part and mode.

use std::collections::{BTreeMap, BTreeSet};

use super::Counts;
use super::ground::Ground;
use super::window::Arrived;
use crate::field::{Day, Field, Id as _, LotId, ModeId, PartId, ReportFacts, ReportId, UnitId};
use crate::label::{Resolution, Resolved};
use crate::report::FoundWhen;

/// A part and the way it fails.
pub(super) type Key = (PartId, ModeId);

/// The reports of a date.
#[derive(Clone)]
pub(super) struct Seen {
    /// The date.
    pub(super) as_of: Day,
    pub(super) counts: Counts,
    /// The lot of every report of the field.
    resolved: Vec<Resolved>,
    /// Relevant reports by part and mode, in the order of the books.
    groups: BTreeMap<Key, Vec<ReportId>>,
    /// When all of them came, sorted or not.
    pub(super) arrived: Arrived,
    /// Relevant reports of failures found before the lot they lead to was made.
    pub(super) too_early: BTreeSet<ReportId>,
}

/// A report with its lot, copied beside the others of its recurrence: each is looked at in a dozen ways, and in the field
/// those of one recurrence lie far apart.
#[derive(Clone, Copy)]
pub(super) struct Row {
    pub(super) report: ReportFacts,
    pub(super) resolved: Resolved,
}

impl Seen {
    pub(super) fn new(field: &Field, ground: &Ground) -> Self {
        let counts = Counts {
            lots: field
                .lots
                .iter()
                .filter(|(_, lot)| lot.made_on.is_none_or(|on| on <= ground.as_of))
                .count(),
            movements: field.movements.iter().filter(|m| m.day <= ground.as_of).count(),
            discrepancies: ground.ledger.discrepancies.len(),
            ..Counts::default()
        };
        let mut seen = Self {
            as_of: ground.as_of,
            counts,
            resolved: Vec::new(),
            groups: BTreeMap::new(),
            arrived: Arrived::default(),
            too_early: BTreeSet::new(),
        };
        let (resolved, ()) = rayon::join(
            || ground.labels.resolve_all(field),
            || field.reports.iter().for_each(|(id, report)| seen.count(id, report)),
        );
        seen.resolved = resolved;
        for (id, report) in field.reports.iter() {
            seen.count_by_lot(field, id, report);
        }
        seen
    }

    /// Takes in a report that is new, or that was `before`.
    pub(super) fn take_in(
        &mut self,
        field: &Field,
        id: ReportId,
        before: Option<&ReportFacts>,
        now: &ReportFacts,
        lot: Resolved,
    ) {
        if let Some(before) = before {
            self.forget(id, before);
            self.counts.lot_unresolved -= usize::from(self.is_unresolved(id, before));
            self.resolved[id.index()] = lot;
        } else {
            self.resolved.push(lot);
        }
        self.count(id, now);
        self.too_early.remove(&id);
        self.count_by_lot(field, id, now);
    }

    /// Counts what hangs on the lot of a report.
    fn count_by_lot(&mut self, field: &Field, id: ReportId, report: &ReportFacts) {
        self.counts.lot_unresolved += usize::from(self.is_unresolved(id, report));
        if self.is_too_early(field, id, report) {
            self.too_early.insert(id);
        }
    }

    fn is_too_early(&self, field: &Field, id: ReportId, report: &ReportFacts) -> bool {
        let made_on = self.lot(id).lot.and_then(|lot| field.lots[lot].made_on);
        let is_early = made_on.is_some_and(|made_on| report.found_on < made_on);
        is_early && report.received_on <= self.as_of && key_of(report).is_some()
    }

    /// Whether a report that was there by the date has a label that leads to no lot.
    fn is_unresolved(&self, id: ReportId, report: &ReportFacts) -> bool {
        report.received_on <= self.as_of && self.lot(id).how == Resolution::Unresolved
    }

    fn count(&mut self, id: ReportId, report: &ReportFacts) {
        if report.received_on > self.as_of {
            return;
        }
        self.arrived.add(report);
        self.counts.reports += 1;
        self.counts.unsorted += usize::from(is_unsorted(report));
        if let Some(key) = key_of(report) {
            self.counts.relevant += 1;
            let group = self.groups.entry(key).or_default();
            if group.last().is_none_or(|&last| last < id) {
                group.push(id);
            } else {
                let at = group.partition_point(|&other| other < id);
                group.insert(at, id);
            }
        }
    }

    fn forget(&mut self, id: ReportId, report: &ReportFacts) {
        if report.received_on > self.as_of {
            return;
        }
        self.arrived.take_off(report);
        self.counts.reports -= 1;
        self.counts.unsorted -= usize::from(is_unsorted(report));
        if let Some(key) = key_of(report) {
            self.counts.relevant -= 1;
            let group = self.groups.entry(key).or_default();
            group.retain(|&other| other != id);
            if group.is_empty() {
                self.groups.remove(&key);
            }
        }
    }

    /// What has a relevant report.
    pub(super) fn keys(&self) -> impl Iterator<Item = Key> {
        self.groups.keys().copied()
    }

    /// Relevant reports on one part, by mode.
    pub(super) fn of_part(&self, part: PartId) -> impl Iterator<Item = (ModeId, &[ReportId])> {
        let of_part = self.groups.range((part, ModeId::from_index(0))..).take_while(move |of| of.0.0 == part);
        of_part.map(|(key, group)| (key.1, group.as_slice()))
    }

    /// Relevant reports of one mode on one part.
    pub(super) fn of_mode(&self, part: PartId, mode: ModeId) -> &[ReportId] {
        self.groups.get(&(part, mode)).map_or(&[], Vec::as_slice)
    }

    /// Some reports with their lots, by lot and unit, since what the books say of both is looked up for each; those of one
    /// lot at one unit in their order.
    pub(super) fn rows(&self, field: &Field, reports: &[ReportId]) -> Vec<Row> {
        let row = |&id: &ReportId| Row { report: field.reports[id], resolved: self.lot(id) };
        let rows: Vec<Row> = reports.iter().map(row).collect();
        let place = |(at, row): (usize, &Row)| (row.resolved.lot, row.report.unit, at as u32);
        let mut places: Vec<(Option<LotId>, UnitId, u32)> = rows.iter().enumerate().map(place).collect();
        places.sort_unstable();
        places.iter().map(|place| rows[place.2 as usize]).collect()
    }

    /// The lot of a report and how it was found.
    pub(super) fn lot(&self, report: ReportId) -> Resolved {
        self.resolved[report.index()]
    }

    /// The lot, where it is more than a guess.
    pub(super) fn sure_lot(&self, report: ReportId) -> Option<LotId> {
        let resolved = self.lot(report);
        resolved.lot.filter(|_| !resolved.how.is_guess())
    }
}

/// The part and mode under which a report counts; `None` where it isn't relevant.
pub(super) fn key_of(report: &ReportFacts) -> Option<Key> {
    report.part.zip(report.mode).filter(|_| report.is_relevant())
}

/// Whether a report has neither been sorted nor set aside.
pub(super) fn is_unsorted(report: &ReportFacts) -> bool {
    (report.part.is_none() || report.mode.is_none()) && report.relevant != Some(false)
}

/// Whether a report is a failure in service: those found on unpacking have a rate of their own.
pub(super) fn in_service(report: &ReportFacts) -> bool {
    report.found_when != Some(FoundWhen::OnReceipt)
}

/// Whether a report may be compared between lots and revisions: in service, and not called for by a notice.
pub(super) fn comparable(report: &ReportFacts) -> bool {
    in_service(report) && report.prompted_by.is_none()
}
