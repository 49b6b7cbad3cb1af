//! Life and forecast of one part's recurrences: what they share is folded once a part.

use super::age_profile::AgeProfile;
use super::at_risk::AtRisk;
use super::forecast::{Changed, Fleet, Forecast, NoForecast};
use super::ground::Ground;
use super::holders::Holders;
use super::life::{Life, NoLife};
use super::seen::Row;
use super::service::Service;
use super::window::Window;
use crate::field::{Field, ModeId, PartId};

/// One part's service in the forms that its recurrences are held against.
pub(super) struct PartOutlook<'a> {
    pub(super) part: PartId,
    /// The part and the items that contain it: a look at any of them is one at it.
    pub(super) looked_at: Vec<PartId>,
    pub(super) ground: &'a Ground,
    pub(super) service: &'a Service,
    pub(super) window: Window,
    pub(super) at_risk: AtRisk,
    fleet: Fleet,
    changes: Vec<Changed<'a>>,
}

impl<'a> PartOutlook<'a> {
    pub(super) fn new(
        field: &'a Field,
        ground: &'a Ground,
        (part, service): (PartId, &'a Service),
        window: Window,
    ) -> Self {
        let at_risk = AtRisk::new(service, window.from, |_| window.to, |_| false);
        let fleet = Fleet::new(service, window, ground.as_of);
        let changes = Changed::all(field, ground, (part, service), window);
        let mut looked_at: Vec<PartId> = Holders::of_part(field, part).items(field).into_iter().collect();
        looked_at.push(part);
        Self { part, looked_at, ground, service, window, at_risk, fleet, changes }
    }

    /// Life and forecast of the reports of one mode, of whose failures this share is reported.
    pub(super) fn of_mode(
        &self,
        field: &Field,
        mode: ModeId,
        rows: &[Row],
        share_reported: f64,
    ) -> (Result<Life, NoLife>, Result<Forecast, NoForecast>) {
        let Self { service, window, fleet, changes, .. } = self;
        let changed = changes.iter().rfind(|changed| changed.is_against(mode));
        let profile = AgeProfile::new(field, self, changed, rows);
        let life = Life::new(&profile, share_reported);
        let forecast = Forecast::new(field, (service, fleet), changed, life.as_ref().ok(), rows, *window);
        (life, forecast)
    }
}
