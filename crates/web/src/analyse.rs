//! The analysis as JSON: the one view that the command line, the API and the pages share.

use chrono::NaiveDate;
use domain::analysis::{Analysis, ChangeResult, Concentration, LotLine, Proof, Rate, Recurrence};
use domain::field::Field;
use domain::mass::{MassChange, TariffChange};
use serde::Serialize;

/// What `analyse --json` prints. Numbers are at full precision; `null` where a method does not apply.
#[derive(Clone, Debug, Serialize)]
pub struct AnalysisView {
    /// The date; only what was received by then counts.
    pub as_of: NaiveDate,
    /// What there was to look at.
    pub counts: CountsView,
    /// Recurrences, by harm, then by evidence.
    pub recurrences: Vec<RecurrenceView>,
    /// Changes.
    pub changes: Vec<ChangeView>,
    /// What a reader must know beside the figures.
    pub warnings: Vec<String>,
}

/// What there was to look at.
#[derive(Clone, Copy, Debug, Serialize)]
#[expect(missing_docs, reason = "named as the counts of the analysis, which say what each is")]
pub struct CountsView {
    pub reports: usize,
    pub relevant: usize,
    pub unsorted: usize,
    pub lot_unresolved: usize,
    pub lots: usize,
    pub movements: usize,
    pub discrepancies: usize,
}

/// A recurrence.
#[derive(Clone, Debug, Serialize)]
#[expect(missing_docs, reason = "named as the recurrence of the analysis, which says what each is")]
pub struct RecurrenceView {
    pub part_no: String,
    pub mode: String,
    pub reports: u32,
    pub items: u32,
    pub item_years: f64,
    pub item_years_low: f64,
    pub item_years_high: f64,
    pub rate: Option<RateView>,
    pub risk: Option<RiskView>,
    pub lots: Vec<LotView>,
    pub concentrations: Option<Vec<ConcentrationView>>,
    pub life: Option<LifeView>,
    pub forecast: Option<ForecastView>,
    pub reporting_fraction: Option<FractionView>,
    pub first_signal_on: Option<NaiveDate>,
}

/// A rate with its exact interval.
#[derive(Clone, Copy, Debug, Serialize)]
#[expect(missing_docs, reason = "named as the rate of the analysis, which says what each is")]
pub struct RateView {
    /// The unit of the rate, in words.
    pub per: &'static str,
    pub estimate: f64,
    pub low: f64,
    pub high: f64,
    pub confidence: f64,
    pub occasions: u64,
}

/// Risk by the tables of MIL-STD-882E.
#[derive(Clone, Debug, Serialize)]
#[expect(missing_docs, reason = "named as the risk of the analysis, which says what each is")]
pub struct RiskView {
    pub severity: u8,
    pub probability: &'static str,
    pub level: &'static str,
    pub basis: String,
}

/// One end-item lot in a recurrence.
#[derive(Clone, Debug, Serialize)]
#[expect(missing_docs, reason = "named as the lot line of the analysis, which says what each is")]
pub struct LotView {
    pub lot_no: String,
    pub reports: u32,
    pub expected: Option<f64>,
    pub item_years: f64,
    pub ratio: Option<f64>,
    pub ratio_low: Option<f64>,
    pub ratio_high: Option<f64>,
    pub probability_worse: Option<f64>,
    pub flagged: bool,
}

/// A factor on which reports sit.
#[derive(Clone, Debug, Serialize)]
#[expect(missing_docs, reason = "named as the concentration of the analysis, which says what each is")]
pub struct ConcentrationView {
    pub factor: String,
    pub level: String,
    pub reports: u32,
    pub expected: f64,
    pub ratio: f64,
    pub ratio_low: f64,
    pub ratio_high: f64,
    pub probability_worse: f64,
    pub flagged: bool,
    pub explained_by: Option<String>,
}

/// A fitted life.
#[derive(Clone, Copy, Debug, Serialize)]
#[expect(missing_docs, reason = "named as the life of the analysis, which says what each is")]
pub struct LifeView {
    /// The distribution that was fitted.
    pub model: &'static str,
    pub shape: f64,
    pub scale_years: f64,
    pub b10_years: f64,
}

/// Reports to come.
#[derive(Clone, Copy, Debug, Serialize)]
#[expect(missing_docs, reason = "named as the forecast of the analysis, which says what each is")]
pub struct ForecastView {
    pub months: u32,
    pub expected: f64,
    pub low: f64,
    pub high: f64,
}

/// A share with its limits.
#[derive(Clone, Copy, Debug, Serialize)]
#[expect(missing_docs, reason = "named as the reporting fraction of the analysis, which says what each is")]
pub struct FractionView {
    pub estimate: f64,
    pub low: f64,
    pub high: f64,
}

/// What a change brings.
#[derive(Clone, Debug, Serialize)]
#[expect(missing_docs, reason = "named as the change result of the analysis, which says what each is")]
pub struct ChangeView {
    pub change_no: String,
    pub mass: Vec<MassView>,
    pub mass_tariff_mean: Option<TariffView>,
    pub rate_before: Option<RateView>,
    pub rate_after: Option<RateView>,
    pub proof: Option<ProofView>,
}

/// Grams before and after in one size and configuration.
#[derive(Clone, Debug, Serialize)]
#[expect(missing_docs, reason = "named as the mass change of the analysis, which says what each is")]
pub struct MassView {
    pub size: Option<String>,
    pub configuration: Option<String>,
    pub before_g: Option<f64>,
    pub after_g: Option<f64>,
    pub delta_g: Option<f64>,
    pub delta_standard_uncertainty_g: Option<f64>,
    pub delta_percent: Option<f64>,
}

/// Mean grams over the tariff of sizes.
#[derive(Clone, Copy, Debug, Serialize)]
#[expect(missing_docs, reason = "named as the tariff change of the analysis, which says what each is")]
pub struct TariffView {
    pub before_g: f64,
    pub after_g: f64,
    pub delta_g: f64,
    pub delta_percent: f64,
}

/// The comparison before and after.
#[derive(Clone, Copy, Debug, Serialize)]
#[expect(missing_docs, reason = "named as the proof of the analysis, which says what each is")]
pub struct ProofView {
    pub ratio: Option<f64>,
    pub low: Option<f64>,
    pub high: Option<f64>,
    pub anytime_low: Option<f64>,
    pub anytime_high: Option<f64>,
    pub p_value: Option<f64>,
    pub verdict: &'static str,
}

impl AnalysisView {
    /// The view of an analysis of a field.
    pub fn new(field: &Field, analysis: &Analysis) -> Self {
        let counts = &analysis.counts;
        Self {
            as_of: analysis.as_of,
            counts: CountsView {
                reports: counts.reports,
                relevant: counts.relevant,
                unsorted: counts.unsorted,
                lot_unresolved: counts.lot_unresolved,
                lots: counts.lots,
                movements: counts.movements,
                discrepancies: counts.discrepancies,
            },
            recurrences: analysis.recurrences.iter().map(|r| RecurrenceView::new(field, r)).collect(),
            changes: analysis.changes.iter().map(|change| ChangeView::new(field, change)).collect(),
            warnings: analysis.warnings.clone(),
        }
    }
}

impl RecurrenceView {
    /// The view of one recurrence.
    pub fn new(field: &Field, recurrence: &Recurrence) -> Self {
        let years = &recurrence.item_years;
        Self {
            part_no: field.part_names[recurrence.part].to_owned(),
            mode: field.modes[recurrence.mode].code.to_string(),
            reports: recurrence.reports,
            items: recurrence.items,
            item_years: years.best,
            item_years_low: years.low,
            item_years_high: years.high,
            rate: recurrence.rate.map(RateView::from),
            risk: recurrence.risk.as_ref().map(|risk| RiskView {
                severity: risk.severity.number(),
                probability: risk.probability.word(),
                level: risk.level.word(),
                basis: risk.basis.clone(),
            }),
            lots: recurrence.lots.iter().map(|line| LotView::new(field, line)).collect(),
            concentrations: recurrence
                .concentrations
                .as_ref()
                .map(|all| all.iter().map(ConcentrationView::from).collect()),
            life: recurrence.life.as_ref().map(|life| LifeView {
                model: "weibull",
                shape: life.shape,
                scale_years: life.scale_years,
                b10_years: life.b10_years,
            }),
            forecast: recurrence.forecast.map(|forecast| ForecastView {
                months: forecast.months,
                expected: forecast.expected,
                low: forecast.low,
                high: forecast.high,
            }),
            reporting_fraction: recurrence.reporting_fraction.map(|fraction| FractionView {
                estimate: fraction.estimate,
                low: fraction.low,
                high: fraction.high,
            }),
            first_signal_on: recurrence.first_signal_on,
        }
    }
}

impl From<Rate> for RateView {
    fn from(rate: Rate) -> Self {
        Self {
            per: "1000 item-years",
            estimate: rate.estimate,
            low: rate.low,
            high: rate.high,
            confidence: rate.confidence,
            occasions: rate.occasions,
        }
    }
}

impl LotView {
    fn new(field: &Field, line: &LotLine) -> Self {
        Self {
            lot_no: field.lots[line.lot].lot_no.to_string(),
            reports: line.reports,
            expected: line.expected,
            item_years: line.item_years,
            ratio: line.ratio,
            ratio_low: line.ratio_low,
            ratio_high: line.ratio_high,
            probability_worse: line.probability_worse,
            flagged: line.flagged,
        }
    }
}

impl From<&Concentration> for ConcentrationView {
    fn from(found: &Concentration) -> Self {
        Self {
            factor: found.factor.clone(),
            level: found.level.clone(),
            reports: found.reports,
            expected: found.expected,
            ratio: found.ratio,
            ratio_low: found.ratio_low,
            ratio_high: found.ratio_high,
            probability_worse: found.probability_worse,
            flagged: found.flagged,
            explained_by: found.explained_by.clone(),
        }
    }
}

impl ChangeView {
    /// The view of what one change brings.
    pub fn new(field: &Field, result: &ChangeResult) -> Self {
        Self {
            change_no: field.changes[result.change].change_no.to_string(),
            mass: result.mass.iter().map(|line| MassView::new(field, line)).collect(),
            mass_tariff_mean: result.mass_tariff_mean.map(TariffView::from),
            rate_before: result.rate_before.map(RateView::from),
            rate_after: result.rate_after.map(RateView::from),
            proof: result.proof.as_ref().map(ProofView::from),
        }
    }
}

impl MassView {
    fn new(field: &Field, line: &MassChange) -> Self {
        let (before, after) = (line.before.map(|mass| mass.grams), line.after.map(|mass| mass.grams));
        Self {
            size: line.size.map(|size| field.sizes[size].to_owned()),
            configuration: line.configuration.map(|c| field.configurations[c].to_owned()),
            before_g: before,
            after_g: after,
            delta_g: line.difference.map(|mass| mass.grams),
            delta_standard_uncertainty_g: line
                .difference
                .and_then(|mass| mass.uncertainty)
                .map(|u| u.standard),
            delta_percent: before.zip(after).map(|(before, after)| MassChange::percent(before, after)),
        }
    }
}

impl From<TariffChange> for TariffView {
    fn from(change: TariffChange) -> Self {
        Self {
            before_g: change.before_g,
            after_g: change.after_g,
            delta_g: change.difference_g,
            delta_percent: MassChange::percent(change.before_g, change.after_g),
        }
    }
}

impl From<&Proof> for ProofView {
    fn from(proof: &Proof) -> Self {
        Self {
            ratio: proof.ratio,
            low: proof.low,
            high: proof.high,
            anytime_low: proof.anytime_low,
            anytime_high: proof.anytime_high,
            p_value: proof.p_value,
            verdict: proof.verdict.word(),
        }
    }
}
