//! What is counted of the reports of a recurrence.

use super::Recurrence;
use crate::analysis::reporting::unasked;
use crate::analysis::seen::in_service;
use crate::field::{InspectionFacts, ReportFacts};
use crate::report::Harm;

/// What is counted of reports: it follows each of them at once.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(in crate::analysis) struct Counted {
    pub(super) reports: u32,
    pub(super) items: u64,
    pub(super) injuries: u32,
    pub(super) near_misses: u32,
    pub(super) prompted: u32,
    pub(super) unpacked: u32,
    /// Those of harm in service.
    pub(super) harmed: u32,
    /// Chargeable ones in service.
    pub(super) occasions: u32,
    /// Of these, those that came unasked.
    pub(super) unasked: u32,
}

impl Counted {
    /// Adds a report; the inspections are of its part and mode.
    pub(in crate::analysis) fn add(&mut self, looks: &[InspectionFacts], report: &ReportFacts) {
        self.reports += 1;
        self.items += u64::from(report.quantity);
        self.injuries += u32::from(report.harm == Some(Harm::Injury));
        self.near_misses += u32::from(report.harm == Some(Harm::NearMiss));
        self.prompted += u32::from(report.prompted_by.is_some());
        self.unpacked += u32::from(!in_service(report));
        self.harmed += u32::from(report.is_harm() && in_service(report));
        self.occasions += u32::from(report.is_chargeable() && in_service(report));
        self.unasked += u32::from(report.is_chargeable() && unasked(looks, report));
    }

    pub(in crate::analysis) fn take_off(&mut self, looks: &[InspectionFacts], report: &ReportFacts) {
        let mut one = Self::default();
        one.add(looks, report);
        self.reports -= one.reports;
        self.items -= one.items;
        self.injuries -= one.injuries;
        self.near_misses -= one.near_misses;
        self.prompted -= one.prompted;
        self.unpacked -= one.unpacked;
        self.harmed -= one.harmed;
        self.occasions -= one.occasions;
        self.unasked -= one.unasked;
    }

    /// What a recurrence counts. Without exposure it has no rate, and its occasions are in no figure.
    pub(in crate::analysis) fn of(recurrence: &Recurrence) -> Self {
        Self {
            reports: recurrence.reports,
            items: recurrence.items,
            injuries: recurrence.injuries,
            near_misses: recurrence.near_misses,
            prompted: recurrence.prompted,
            unpacked: recurrence.on_receipt.map_or(0, |found| found.reports as u32),
            harmed: recurrence.harmed_in_service,
            occasions: recurrence.rate.map_or(recurrence.reports, |rate| rate.occasions as u32),
            unasked: recurrence.unasked,
        }
    }
}
