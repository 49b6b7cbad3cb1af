//! What else changed with a change, as JSON: other modes, reports on old items, and how much units tell.

use domain::analysis::{ChangeResult, OtherMode, StillTold, Stopped, Telling};
use domain::field::{Field, UnitId};
use serde::Serialize;
use stats::product::Estimate;
use utoipa::ToSchema;

use super::rate::RateView;
use super::reporting::{CorrectedRateView, FractionView};

/// What else changed with a change that is built.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(as = SideEffects)]
pub struct SideEffectsView {
    /// Other ways in which the part fails, at equal age; those that rise first.
    pub other_modes: Vec<OtherModeView>,
    /// Reports on items from before the change; `null` where nobody knows the day of the cut-in.
    pub still_told: Option<StillToldView>,
    /// Share of failures told before the cut-in and since; `null` where nobody knows the day of the cut-in.
    pub telling: Option<TellingView>,
}

/// Another way in which the changed part fails.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(as = OtherMode)]
pub struct OtherModeView {
    /// Its code in the catalogue.
    #[schema(examples("ZIP-2"))]
    pub mode: String,
    /// Its rate on items before the change, at ages both sides reached.
    pub before: Option<RateView>,
    /// Its rate on items built to the change.
    pub after: Option<RateView>,
    /// Rate after over rate before; `null` without failures to compare.
    pub ratio: Option<RatioView>,
    /// Whether it rises, at one false alarm expected among ten.
    pub rises: bool,
}

/// Reports on items from before the change, in the year before the cut-in and since.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(as = StillTold)]
pub struct StillToldView {
    /// Their rate in the year before the cut-in.
    pub before: Option<RateView>,
    /// The same since.
    pub since: Option<RateView>,
    /// Units that sent none since, though by their own pace they should have sent three or more.
    pub silent: Vec<SilentView>,
}

/// A unit that sent no report since the cut-in.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(as = SilentUnit)]
pub struct SilentView {
    /// The unit.
    pub unit: String,
    /// Reports that it should have sent by its own pace.
    #[schema(minimum = 0)]
    pub expected: f64,
}

/// Share of failures that units told before the cut-in and tell since, by inspections. It stands beside the proof and changes
/// nothing in it.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(as = Telling)]
pub struct TellingView {
    /// What the shares say: `less than before`, `more than before`, `cannot be told`, or which inspection is missing.
    #[schema(examples("cannot be told"))]
    pub says: &'static str,
    /// Share told of what inspections up to the cut-in found; `null` without one.
    pub before: Option<FractionView>,
    /// Share told of what came since and inspections since found; `null` without one.
    pub since: Option<FractionView>,
    /// The same where lots from before the change were looked at by number.
    pub since_on_old: Option<FractionView>,
    /// The same where lots built to the change were looked at by number.
    pub since_on_new: Option<FractionView>,
    /// Share since over share before.
    pub ratio: Option<RatioView>,
    /// Rate of items before the change, were all failures reported.
    pub corrected_rate_before: Option<CorrectedRateView>,
    /// Rate of items built to it, were all failures reported.
    pub corrected_rate_after: Option<CorrectedRateView>,
    /// Ratio of the proof for one look, were all failures reported.
    pub corrected_ratio: Option<RatioView>,
    /// Units whose reports stopped with the cut-in though inspections find failures.
    pub stopped: Vec<StoppedView>,
}

/// A ratio with its 95 % limits.
#[derive(Clone, Copy, Debug, Serialize, ToSchema)]
#[schema(as = Ratio)]
pub struct RatioView {
    /// The ratio.
    #[schema(minimum = 0)]
    pub estimate: f64,
    /// Lower limit.
    #[schema(minimum = 0)]
    pub low: f64,
    /// Upper limit; `null` where there is none.
    #[schema(minimum = 0)]
    pub high: Option<f64>,
}

/// A unit whose reports stopped with the cut-in though inspections find failures.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(as = StoppedUnit)]
pub struct StoppedView {
    /// The unit.
    pub unit: String,
    /// Reports of its own accord before the cut-in; since then there is none.
    pub reports_before: u64,
    /// Items with the part that it holds now.
    pub holds: u64,
    /// Items looked at since the cut-in.
    pub inspected: u64,
    /// Of these, showing what the change is to cure.
    pub found: u64,
}

impl SideEffectsView {
    /// The view of what else changed; `None` until the change is built.
    pub fn new(field: &Field, result: &ChangeResult) -> Option<Self> {
        let state = field.changes[result.change].state;
        state.is_some_and(domain::change::ChangeState::is_built).then(|| Self {
            other_modes: result.other_modes.iter().map(|one| OtherModeView::new(field, one)).collect(),
            still_told: result.still_told.as_ref().map(|told| StillToldView::new(field, told)),
            telling: result.telling.as_ref().map(|telling| TellingView::new(field, telling)),
        })
    }
}

impl OtherModeView {
    fn new(field: &Field, one: &OtherMode) -> Self {
        Self {
            mode: field.modes[one.mode].code.to_string(),
            before: one.before.map(RateView::from),
            after: one.after.map(RateView::from),
            ratio: one.ratio.map(|(value, interval)| Estimate { value, interval }.into()),
            rises: one.rises,
        }
    }
}

fn unit_name(field: &Field, unit: UnitId) -> String {
    field.unit_names[unit].to_owned()
}

impl StillToldView {
    fn new(field: &Field, told: &StillTold) -> Self {
        let silent =
            |&(unit, expected): &(UnitId, f64)| SilentView { unit: unit_name(field, unit), expected };
        Self {
            before: told.before.map(RateView::from),
            since: told.since.map(RateView::from),
            silent: told.silent.iter().map(silent).collect(),
        }
    }
}

impl TellingView {
    fn new(field: &Field, telling: &Telling) -> Self {
        let stopped = |one: &Stopped| StoppedView {
            unit: unit_name(field, one.unit),
            reports_before: one.reports_before,
            holds: one.holds,
            inspected: one.inspected,
            found: one.found,
        };
        Self {
            says: telling.says().word(),
            before: telling.before.map(FractionView::from),
            since: telling.since.map(FractionView::from),
            since_on_old: telling.since_on_old.map(FractionView::from),
            since_on_new: telling.since_on_new.map(FractionView::from),
            ratio: telling.ratio.map(RatioView::from),
            corrected_rate_before: telling.corrected_before.map(CorrectedRateView::from),
            corrected_rate_after: telling.corrected_after.map(CorrectedRateView::from),
            corrected_ratio: telling.corrected_ratio.map(RatioView::from),
            stopped: telling.stopped.iter().map(stopped).collect(),
        }
    }
}

impl From<Estimate> for RatioView {
    fn from(ratio: Estimate) -> Self {
        let Estimate { value, interval } = ratio;
        let high = interval.high.is_finite().then_some(interval.high);
        Self { estimate: value, low: interval.low, high }
    }
}
