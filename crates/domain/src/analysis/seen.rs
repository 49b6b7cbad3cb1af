//! What had been received by the date: reports with their lots, grouped by part and mode.

use super::Counts;
use crate::field::{Day, Field, Id, LotId, ModeId, PartId, ReportFacts, ReportId};
use crate::label::{Labels, Resolution, Resolved};
use crate::report::FoundWhen;

/// The reports of a date.
pub(super) struct Seen {
    /// The date.
    pub(super) as_of: Day,
    pub(super) counts: Counts,
    /// The lot of every report of the field.
    resolved: Vec<Resolved>,
    /// Relevant reports by part and mode.
    relevant: Vec<(PartId, ModeId, ReportId)>,
}

impl Seen {
    pub(super) fn new(field: &Field, as_of: Day) -> Self {
        let resolved = Labels::new(field, as_of).resolve_all();
        let mut counts = Counts {
            lots: field.lots.len(),
            movements: field.movements.iter().filter(|m| m.day <= as_of).count(),
            ..Counts::default()
        };
        let mut relevant = Vec::new();
        for (id, report) in field.reports.iter().filter(|(_, r)| r.received_on <= as_of) {
            counts.reports += 1;
            if resolved[id.index()].how == Resolution::Unresolved {
                counts.lot_unresolved += 1;
            }
            match (report.part, report.mode) {
                (Some(part), Some(mode)) if report.is_relevant() => relevant.push((part, mode, id)),
                (Some(_), Some(_)) => {}
                _ if report.relevant != Some(false) => counts.unsorted += 1,
                _ => {}
            }
        }
        counts.relevant = relevant.len();
        relevant.sort_unstable();
        Self { as_of, counts, resolved, relevant }
    }

    /// Relevant reports, one slice a part.
    pub(super) fn by_part(&self) -> Vec<&[(PartId, ModeId, ReportId)]> {
        self.relevant.chunk_by(|a, b| a.0 == b.0).collect()
    }

    /// Relevant reports on one part.
    pub(super) fn of_part(&self, part: PartId) -> &[(PartId, ModeId, ReportId)] {
        let from = self.relevant.partition_point(|row| row.0 < part);
        let to = self.relevant.partition_point(|row| row.0 <= part);
        &self.relevant[from..to]
    }

    /// Relevant reports of one mode on one part.
    pub(super) fn of_mode(&self, part: PartId, mode: ModeId) -> &[(PartId, ModeId, ReportId)] {
        let of_part = self.of_part(part);
        let from = of_part.partition_point(|row| row.1 < mode);
        let to = of_part.partition_point(|row| row.1 <= mode);
        &of_part[from..to]
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

/// Whether a report is a failure in service: those found on unpacking have a rate of their own.
pub(super) fn in_service(report: &ReportFacts) -> bool {
    report.found_when != Some(FoundWhen::OnReceipt)
}

/// Whether a report may be compared between lots and revisions: in service, and not called for by a notice.
pub(super) fn comparable(report: &ReportFacts) -> bool {
    in_service(report) && report.prompted_by.is_none()
}
