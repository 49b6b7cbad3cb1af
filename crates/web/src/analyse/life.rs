//! The fitted life of a recurrence and the forecast from it, as JSON.

use domain::analysis::{Ahead, Forecast, Life, LifePoint, Portion};
use domain::field::Field;
use serde::Serialize;
use utoipa::ToSchema;

/// A fitted life, of failures as reported. Limits are at 95 %.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(as = Life)]
pub struct LifeView {
    /// The distribution that was fitted.
    #[schema(examples("weibull"))]
    pub model: &'static str,
    /// Shape, without unit; above 1 the rate grows with age.
    #[schema(exclusive_minimum = 0)]
    pub shape: f64,
    /// Lower limit of the shape.
    #[schema(minimum = 0)]
    pub shape_low: f64,
    /// Upper limit of the shape; `null` where there is no useful one.
    pub shape_high: Option<f64>,
    /// What the limits of the shape say: early, steady, wear-out, not shown.
    #[schema(examples("wear-out"))]
    pub pattern: &'static str,
    /// The same in words.
    pub pattern_in_words: &'static str,
    /// Scale, in years in service.
    #[schema(exclusive_minimum = 0)]
    pub scale_years: f64,
    /// Age by which one item in ten has been reported failed, in years in service.
    #[schema(minimum = 0)]
    pub b10_years: f64,
    /// Lower limit of that age.
    #[schema(minimum = 0)]
    pub b10_low_years: f64,
    /// Upper limit of that age; `null` where there is no useful one.
    pub b10_high_years: Option<f64>,
    /// Failures with an age.
    pub failures: u32,
    /// Of these, found by an inspection and so known to a span of ages.
    pub found_at_inspection: u32,
    /// Failures without a lot or weeks worn: they count in the scale, not in the shape.
    pub without_age: u32,
    /// Failures of items that were there before records began, left out.
    pub age_not_on_record: u32,
    /// Failures so recent that other reports of those days are still on their way, left out.
    pub too_recent: u32,
    /// Longest time in service of any item.
    #[schema(minimum = 0)]
    pub oldest_years: f64,
    /// Share failed by rising ages.
    pub points: Vec<LifePointView>,
}

/// Share of parts reported failed by one age.
#[derive(Clone, Copy, Debug, Serialize, ToSchema)]
#[schema(as = LifePoint)]
pub struct LifePointView {
    /// Age in service.
    #[schema(minimum = 0)]
    pub age_years: f64,
    /// As fitted.
    #[schema(minimum = 0, maximum = 1)]
    pub failed: f64,
    /// Lower limit.
    #[schema(minimum = 0, maximum = 1)]
    pub low: f64,
    /// Upper limit.
    #[schema(minimum = 0, maximum = 1)]
    pub high: f64,
    /// As counted, without a model.
    #[schema(minimum = 0, maximum = 1)]
    pub counted: f64,
}

/// Reports to come, on items in service on the date and without new issues.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(as = Forecast)]
pub struct ForecastView {
    /// How far it looks ahead.
    pub months: u32,
    /// Reports expected.
    #[schema(minimum = 0)]
    pub expected: f64,
    /// Lower limit at 90 %.
    #[schema(minimum = 0)]
    pub low: f64,
    /// Upper limit at 90 %.
    #[schema(minimum = 0)]
    pub high: f64,
    /// 3, 6 and 12 months ahead.
    pub ahead: Vec<AheadView>,
    /// Reports of items built to the latest change against the mode over those of others at the same age, which it allows for;
    /// `null` without such items.
    #[schema(minimum = 0)]
    pub ratio_with_change: Option<f64>,
    /// Whether the rate was taken as steady, for want of a fitted life.
    pub assumed_steady: bool,
    /// Reports it rests on.
    pub reports: u32,
    /// Items in service on the date.
    pub in_service: u64,
    /// Share of them that leaves in a year.
    #[schema(minimum = 0)]
    pub leaving_per_year: f64,
    /// Lots with most to come in 12 months, at most 20.
    pub lots: Vec<PortionView>,
    /// Units with most to come in 12 months, at most 20.
    pub units: Vec<PortionView>,
}

/// Reports to come within some months.
#[derive(Clone, Copy, Debug, Serialize, ToSchema)]
#[schema(as = Ahead)]
pub struct AheadView {
    /// How far it looks ahead.
    pub months: u32,
    /// Reports expected.
    #[schema(minimum = 0)]
    pub expected: f64,
    /// Lower limit at 90 %.
    #[schema(minimum = 0)]
    pub low: f64,
    /// Upper limit at 90 %.
    #[schema(minimum = 0)]
    pub high: f64,
}

/// Reports to come in 12 months from one lot or unit.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(as = ForecastPortion)]
pub struct PortionView {
    /// The lot or unit.
    pub level: String,
    /// Its items in service.
    pub in_service: u64,
    /// Its reports so far.
    pub reports: u32,
    /// Reports expected.
    #[schema(minimum = 0)]
    pub expected: f64,
    /// Lower limit at 90 %.
    #[schema(minimum = 0)]
    pub low: f64,
    /// Upper limit at 90 %.
    #[schema(minimum = 0)]
    pub high: f64,
}

impl From<&Life> for LifeView {
    fn from(life: &Life) -> Self {
        Self {
            model: "weibull",
            shape: life.shape,
            shape_low: life.shape_low,
            shape_high: life.shape_high,
            pattern: life.pattern.word(),
            pattern_in_words: life.pattern.sentence(),
            scale_years: life.scale_years,
            b10_years: life.b10_years,
            b10_low_years: life.b10_low,
            b10_high_years: life.b10_high,
            failures: life.failures,
            found_at_inspection: life.found_at_inspection,
            without_age: life.without_age,
            age_not_on_record: life.age_not_on_record,
            too_recent: life.too_recent,
            oldest_years: life.oldest_years,
            points: life.points.iter().map(|&point| LifePointView::from(point)).collect(),
        }
    }
}

impl From<LifePoint> for LifePointView {
    fn from(point: LifePoint) -> Self {
        let LifePoint { age_years, failed, low, high, counted } = point;
        Self { age_years, failed, low, high, counted }
    }
}

impl ForecastView {
    /// The view of a forecast.
    pub(super) fn new(field: &Field, forecast: &Forecast) -> Self {
        let Ahead { months, expected, low, high } = forecast.year();
        Self {
            months,
            expected,
            low,
            high,
            ahead: forecast.ahead.iter().map(|&ahead| AheadView::from(ahead)).collect(),
            ratio_with_change: forecast.ratio_with_change,
            assumed_steady: forecast.assumed_steady,
            reports: forecast.reports,
            in_service: forecast.in_service,
            leaving_per_year: forecast.leaving_per_year,
            lots: forecast.lots.iter().map(|p| PortionView::new(&field.lots[p.of].lot_no, p)).collect(),
            units: forecast.units.iter().map(|p| PortionView::new(&field.unit_names[p.of], p)).collect(),
        }
    }
}

impl From<Ahead> for AheadView {
    fn from(ahead: Ahead) -> Self {
        let Ahead { months, expected, low, high } = ahead;
        Self { months, expected, low, high }
    }
}

impl PortionView {
    fn new<I>(level: &str, portion: &Portion<I>) -> Self {
        let &Portion { in_service, reports, expected, low, high, .. } = portion;
        Self { level: level.to_owned(), in_service, reports, expected, low, high }
    }
}
