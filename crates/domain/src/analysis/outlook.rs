//! Life and forecast of one part's recurrences: what they share is folded once a part.

use super::age_profile::{AgeProfile, Rounds, at_risk};
use super::forecast::{Fleet, Forecast, NoForecast};
use super::life::{Life, NoLife};
use super::seen::Seen;
use super::service::{Leaving, Service};
use super::window::Window;
use crate::field::{Day, Field, PartId, ReportId};
use crate::ledger::Ledger;

/// What every part's outlook rests on.
pub(super) struct Outlooks<'a> {
    pub(super) field: &'a Field,
    pub(super) ledger: &'a Ledger,
    pub(super) seen: &'a Seen,
    leaving: &'a Leaving,
    pub(super) rounds: Rounds,
    pub(super) window: Window,
}

impl<'a> Outlooks<'a> {
    pub(super) fn new(field: &'a Field, ledger: &'a Ledger, leaving: &'a Leaving, seen: &'a Seen) -> Self {
        let item_days_until = |day: Day| -> f64 {
            let days = |spell: &crate::ledger::Spell| (spell.to.min(day).0 - spell.from.0).max(0);
            ledger.spells.iter().map(|spell| f64::from(spell.quantity) * f64::from(days(spell))).sum()
        };
        let window = Window::new(field, item_days_until, seen.as_of);
        Self { field, ledger, seen, leaving, rounds: Rounds::new(field, seen.as_of), window }
    }

    /// The outlook of a part.
    pub(super) fn of_part(&'a self, part: PartId) -> PartOutlook<'a> {
        let service = Service::new(self.field, self.ledger, self.leaving, part);
        let at_risk = at_risk(&service, self.window);
        let fleet = Fleet::new(&service, self.window, self.seen.as_of);
        PartOutlook { all: self, part, service, at_risk, fleet }
    }
}

/// One part's service.
pub(super) struct PartOutlook<'a> {
    all: &'a Outlooks<'a>,
    part: PartId,
    service: Service,
    at_risk: Vec<f64>,
    fleet: Fleet,
}

impl PartOutlook<'_> {
    /// Life and forecast of the reports of one mode.
    pub(super) fn of_mode(
        &self,
        reports: impl Iterator<Item = ReportId> + Clone,
    ) -> (Result<Life, NoLife>, Result<Forecast, NoForecast>) {
        let Outlooks { field, seen, window, .. } = self.all;
        let profile = AgeProfile::new(self.all, self.part, &self.service, &self.at_risk, reports.clone());
        let life = Life::new(&profile);
        let forecast =
            Forecast::new(field, seen, &self.service, &self.fleet, life.as_ref().ok(), reports, *window);
        (life, forecast)
    }
}
