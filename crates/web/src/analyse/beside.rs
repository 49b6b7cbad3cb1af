//! What stands beside the reports, as JSON: hours worn, inspections lot by lot, spare parts drawn.

use chrono::NaiveDate;
use domain::analysis::{Drawn, Looked, Sight, UnitWear, Wear};
use domain::field::Field;
use serde::Serialize;
use utoipa::ToSchema;

use super::rate::RateView;

/// Failures by use, on the units and days whose use is on record.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(as = Wear)]
pub struct WearView {
    /// Chargeable occasions per 1,000 hours worn.
    pub rate: RateView,
    /// Hours worn.
    #[schema(minimum = 0)]
    pub hours: f64,
    /// Share of all item-years that is on days with a record of use.
    #[schema(minimum = 0, maximum = 1)]
    pub recorded: f64,
    /// The units, most hours an item-year first.
    pub units: Vec<UnitWearView>,
}

/// One unit's failures by calendar and by use.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(as = UnitWear)]
pub struct UnitWearView {
    /// The unit.
    pub unit: String,
    /// Item-years on days with a record of use.
    #[schema(minimum = 0)]
    pub item_years: f64,
    /// Hours worn in them.
    #[schema(minimum = 0)]
    pub hours: f64,
    /// Per 1,000 item-years.
    pub by_calendar: RateView,
    /// Per 1,000 hours worn.
    pub by_use: RateView,
}

/// What inspections found of the mode in one lot.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(as = Looked)]
pub struct LookedView {
    /// The lot; `null` where lots were not told apart.
    pub lot_no: Option<String>,
    /// The notices that asked for it.
    pub notices: Vec<String>,
    /// Items looked at; one looked at twice counts twice.
    pub inspected: u64,
    /// Of these, showing the mode.
    pub found: u64,
    /// The share.
    #[schema(minimum = 0, maximum = 1)]
    pub share: Option<f64>,
    /// Its lower limit at 95 %.
    pub share_low: Option<f64>,
    /// Its upper limit at 95 %.
    pub share_high: Option<f64>,
    /// Items of other lots looked at.
    pub others_inspected: Option<u64>,
    /// Of these, showing the mode.
    pub others_found: Option<u64>,
    /// Whether the lot shows it more often than the others.
    pub stands_out: bool,
}

/// Spare parts drawn beside the items reported over the same months.
#[derive(Clone, Copy, Debug, Serialize, ToSchema)]
#[schema(as = Drawn)]
pub struct DrawnView {
    /// Over the months for which demand is on record.
    pub all: SightView,
    /// Over the last twelve of these months.
    pub last_year: SightView,
}

/// Parts drawn and items reported.
#[derive(Clone, Copy, Debug, Serialize, ToSchema)]
#[schema(as = Sight)]
pub struct SightView {
    /// The first day.
    pub from: NaiveDate,
    /// The day after the last.
    pub to: NaiveDate,
    /// Parts drawn.
    pub drawn: u64,
    /// Items that relevant reports of failures in service tell of, whatever the mode.
    pub told: u64,
}

impl WearView {
    pub(super) fn new(field: &Field, wear: &Wear) -> Self {
        let unit = |u: &UnitWear| UnitWearView {
            unit: field.unit_names[u.unit].to_owned(),
            item_years: u.item_years,
            hours: u.hours,
            by_calendar: RateView::from(u.by_calendar),
            by_use: RateView { per: PER_HOURS, ..RateView::from(u.by_use) },
        };
        Self {
            rate: RateView { per: PER_HOURS, ..RateView::from(wear.rate) },
            hours: wear.hours,
            recorded: wear.recorded,
            units: wear.units.iter().map(unit).collect(),
        }
    }
}

const PER_HOURS: &str = "1000 hours worn";

impl LookedView {
    pub(super) fn new(field: &Field, looked: &Looked) -> Self {
        let share = looked.own.share();
        Self {
            lot_no: looked.lot.map(|lot| field.lots[lot].lot_no.to_string()),
            notices: looked.notices.iter().map(|&notice| field.texts[notice].to_owned()).collect(),
            inspected: looked.own.inspected,
            found: looked.own.found,
            share: share.map(|s| s.0),
            share_low: share.map(|s| s.1),
            share_high: share.map(|s| s.2),
            others_inspected: looked.others.map(|o| o.inspected),
            others_found: looked.others.map(|o| o.found),
            stands_out: looked.stands_out,
        }
    }
}

impl From<Drawn> for DrawnView {
    fn from(drawn: Drawn) -> Self {
        let sight =
            |s: Sight| SightView { from: s.from.date(), to: s.to.date(), drawn: s.drawn, told: s.told };
        Self { all: sight(drawn.all), last_year: sight(drawn.last_year) }
    }
}
