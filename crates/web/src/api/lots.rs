//! `GET /lots/{lot_no}`: what a lot is, where it is, and what was reported of it.

use axum::Json;
use axum::extract::{Path, Query, State};
use chrono::NaiveDate;
use domain::analysis::Analysis;
use domain::field::{Field, LotId};
use domain::lineage::{Step, Whereabouts, made_from, went_into};
use domain::permission::Act;
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

use super::caller::Caller;
use super::problem::{ApiError, Problem};
use crate::pages::lots::{OnLot, find, on_lot, where_held};
use crate::state::AppState;

/// A lot.
#[derive(Serialize, ToSchema)]
#[schema(as = Lot)]
pub(super) struct LotSheet {
    /// The day of the figures.
    as_of: NaiveDate,
    /// Its number as marked.
    #[schema(examples("TB-0418"))]
    lot_no: String,
    /// What was made.
    #[schema(examples("RC-100"))]
    part_no: String,
    /// In which revision.
    #[schema(examples("A"))]
    revision: String,
    /// Its size.
    size: Option<String>,
    /// Who made it.
    maker: Option<String>,
    /// When it was made.
    made_on: Option<NaiveDate>,
    /// How many were made.
    quantity: Option<u32>,
    /// `production`, `pilot`, `trial` or `training`.
    #[schema(examples("production"))]
    purpose: &'static str,
    /// Items in service on the day that contain it, to be expected, through any number of lots: of an item lot its own items
    /// and those that were converted from it; of a component lot the items that have it.
    #[schema(minimum = 0)]
    in_service: f64,
    /// The fewest of them that the books allow.
    #[schema(minimum = 0)]
    in_service_low: f64,
    /// The most of them that the books allow.
    #[schema(minimum = 0)]
    in_service_high: f64,
    /// Item-years in service by the day, from the lot's own movements: of an item lot without the years that its items have
    /// had since they were converted into another lot; 0 for a component lot, which is in service with the items that
    /// contain it.
    #[schema(minimum = 0)]
    item_years: f64,
    /// The fewest item-years the books allow.
    #[schema(minimum = 0)]
    item_years_low: f64,
    /// The most item-years the books allow.
    #[schema(minimum = 0)]
    item_years_high: f64,
    /// The lots it was made from in one step: those sewn into it, and those whose items were converted into it. `/lineage`
    /// goes on through any number of steps.
    made_from: Vec<Kin>,
    /// The lots it went into in one step: those it was sewn into, and those that items of it were converted into. `/lineage`
    /// goes on through any number of steps.
    went_into: Vec<Kin>,
    /// Where the items are that are of this lot still, most in service first, from the lot's own movements: without those
    /// that were converted into another lot, which `in_service` counts; empty for a component lot. `/holders` has all items
    /// that contain it.
    held: Vec<Held>,
    /// What was reported of it, by recurrence; of a component lot, of the items that contain it.
    recurrences: Vec<Line>,
}

/// A lot one step up or down.
#[derive(Serialize, ToSchema)]
struct Kin {
    /// Its number as marked.
    lot_no: String,
    /// What was made.
    part_no: String,
    /// Who made it.
    maker: Option<String>,
    /// How much went from one to the other: items where they were converted, else pieces or lengths of the lot that was sewn
    /// in; `null` where nobody wrote it down.
    quantity: Option<f64>,
    /// Whether items of the one were converted into the other; else the one was sewn into the other.
    converted: bool,
}

/// Items at one unit.
#[derive(Serialize, ToSchema)]
struct Held {
    /// The unit; `null` for what was returned and not issued again.
    unit: Option<String>,
    /// Items of this lot in service there.
    in_service: u64,
    /// Items of this lot waiting there, in store, depot or repair.
    waiting: u64,
}

/// The lot in one recurrence.
#[derive(Serialize, ToSchema)]
struct Line {
    /// The part that fails.
    part_no: String,
    /// How it fails.
    mode: String,
    /// The figures, as `analysis` has them.
    figures: Figures,
}

/// What was reported of the lot, held against what its peers would lead one to expect.
#[derive(Serialize, ToSchema)]
#[schema(as = LotFigures)]
struct Figures {
    /// The lot's number as marked.
    #[schema(examples("TB-0418"))]
    lot_no: String,
    /// Relevant reports on it; of a component lot that is only part of an item lot, its share of the reports, rounded.
    reports: u32,
    /// Reports its exposure would explain; `null` where the comparison can't be made.
    #[schema(minimum = 0)]
    expected: Option<f64>,
    /// Item-years in service; `null` for a component lot.
    #[schema(minimum = 0)]
    item_years: Option<f64>,
    /// Reports over expected; `null` where the comparison can't be made, and where the others have no report: then
    /// `ratio_low` alone says how many times it is at least.
    #[schema(minimum = 0)]
    ratio: Option<f64>,
    /// Lower limit of the ratio at 95 %.
    #[schema(minimum = 0)]
    ratio_low: Option<f64>,
    /// Upper limit of the ratio at 95 %; `null` where there is none.
    #[schema(minimum = 0)]
    ratio_high: Option<f64>,
    /// Probability that the true ratio is above 1.5, shrunk over all lots compared.
    #[schema(minimum = 0, maximum = 1)]
    probability_worse: Option<f64>,
    /// Whether it stands out: 3 reports or more, a ratio above 1.5, and kept after correction for many comparisons.
    flagged: bool,
    /// The factor and level, with a colon between, that explain it; `null` where none does.
    explained_by: Option<String>,
}

/// Which of several lots of one number.
#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub(super) struct Of {
    /// The maker, where several used the number.
    maker: Option<String>,
}

impl Of {
    /// The maker, where one is named.
    pub(super) fn maker(&self) -> Option<&str> {
        self.maker.as_deref()
    }
}

impl LotSheet {
    pub(super) fn new(field: &Field, analysis: &Analysis, id: LotId) -> Self {
        let lot = &field.lots[id];
        let years = analysis.ledger.lot_years(|spell| spell.lot() == Some(id));
        let maker = |lot: LotId| field.lots[lot].maker.map(|maker| field.makers[maker].to_owned());
        let kin = |of: LotId, step: &Step| Kin {
            lot_no: field.lots[of].lot_no.to_string(),
            part_no: field.part_names[field.part_of_lot(of)].to_owned(),
            maker: maker(of),
            quantity: step.quantity,
            converted: step.by_conversion,
        };
        let held = where_held(analysis, id).into_iter().map(|(unit, in_service, waiting)| Held {
            unit: unit.map(|unit| field.unit_names[unit].to_owned()),
            in_service,
            waiting,
        });
        let worn = Whereabouts::new(field, &analysis.ledger, id).in_service;
        let lines = on_lot(field, analysis, id).into_iter().map(|line| Line {
            part_no: field.part_names[line.recurrence.part].to_owned(),
            mode: field.modes[line.recurrence.mode].code.to_string(),
            figures: Figures::new(field, id, &line),
        });
        Self {
            as_of: analysis.as_of,
            lot_no: lot.lot_no.to_string(),
            part_no: field.part_names[field.part_of_lot(id)].to_owned(),
            revision: field.revisions[lot.revision].revision.to_string(),
            size: lot.size.map(|size| field.sizes[size].to_owned()),
            maker: maker(id),
            made_on: lot.made_on.map(domain::field::Day::date),
            quantity: lot.quantity,
            purpose: lot.purpose.word(),
            in_service: worn.best,
            in_service_low: worn.low,
            in_service_high: worn.high,
            item_years: years.best,
            item_years_low: years.low,
            item_years_high: years.high,
            made_from: made_from(field, id).iter().map(|step| kin(step.from, step)).collect(),
            went_into: went_into(field, id).map(|step| kin(step.into, &step)).collect(),
            held: held.collect(),
            recurrences: lines.collect(),
        }
    }
}

impl Figures {
    fn new(field: &Field, id: LotId, line: &OnLot<'_>) -> Self {
        let finite = |number: &f64| number.is_finite();
        Self {
            lot_no: field.lots[id].lot_no.to_string(),
            reports: line.reports,
            expected: line.expected,
            item_years: line.item_years,
            ratio: line.ratio.map(|(ratio, _)| ratio).filter(finite),
            ratio_low: line.ratio.map(|(_, ends)| ends.low),
            ratio_high: line.ratio.map(|(_, ends)| ends.high).filter(finite),
            probability_worse: line.probability_worse,
            flagged: line.flagged,
            explained_by: line.explained_by.map(|level| level.key(field)),
        }
    }
}

/// One lot
#[utoipa::path(get, path = "/lots/{lot_no}", tag = "Results", operation_id = "lot",
    params(("lot_no" = String, Path, description = "The number as marked.", example = "TB-0418"), Of),
    responses(
        (status = 200, description = "The lot.", body = LotSheet, example = json!(super::samples::lot())),
        (status = 404, description = "No such lot, or several: then name the maker.", body = Problem,
            content_type = "application/problem+json"),
    ),
)]
pub(super) async fn show(
    State(state): State<AppState>,
    caller: Caller,
    Path(lot_no): Path<String>,
    Query(of): Query<Of>,
) -> Result<Json<LotSheet>, ApiError> {
    caller.may(&Act::ReadField)?;
    let picture = state.picture().await?;
    let lot = find(&picture.field, &lot_no, of.maker.as_deref())?;
    Ok(Json(LotSheet::new(&picture.field, &picture.analysis, lot)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pages::lots::sample;

    #[test]
    fn a_component_lot_tells_the_same_reports_as_its_page_and_the_items_that_contain_it() {
        let (field, analysis) = sample::field();
        let tape = sample::tape(&field).expect("the lot of tape");
        let sheet = LotSheet::new(&field, &analysis, tape);
        let told: Vec<(u32, bool)> =
            sheet.recurrences.iter().map(|line| (line.figures.reports, line.figures.flagged)).collect();
        let page: Vec<(u32, bool)> =
            on_lot(&field, &analysis, tape).iter().map(|line| (line.reports, line.flagged)).collect();
        assert!(!told.is_empty() && told[0].0 > 0, "{told:?}");
        assert_eq!(told, page);
        assert_eq!(sheet.recurrences[0].figures.item_years, None);
        assert!(sheet.held.is_empty() && sheet.item_years <= 0.0, "no movement names the tape");
        let (least, best, most) = (sheet.in_service_low, sheet.in_service, sheet.in_service_high);
        assert!(0.0 < best && least <= best && best <= most, "{least} {best} {most}");
    }

    #[test]
    fn an_item_lot_tells_its_own_line_and_its_own_items() {
        let (field, analysis) = sample::field();
        let id = find(&field, "TB-0418", None).expect("a lot of carriers");
        let sheet = LotSheet::new(&field, &analysis, id);
        let told = &sheet.recurrences[0].figures;
        let line = analysis.recurrences[0].lots.iter().find(|line| line.lot == id).expect("its line");
        assert_eq!((told.reports, told.expected), (line.reports, line.expected));
        assert_eq!((told.item_years, told.ratio), (Some(line.item_years), line.ratio));
        assert_eq!((told.ratio_low, told.ratio_high), (line.ratio_low, line.ratio_high));
        assert!(told.ratio.is_some() && told.ratio_low.is_some(), "it has peers");
        let worn: u64 = sheet.held.iter().map(|held| held.in_service).sum();
        assert!((sheet.in_service - worn as f64).abs() < 1e-9, "{} {worn}", sheet.in_service);
    }

    #[test]
    fn what_was_converted_is_told_with_the_lots_it_became_and_counts_in_service() {
        let (field, analysis) = sample::converted();
        let sheet = |lot_no: &str| {
            let lot = find(&field, lot_no, None).expect("a lot of the sample");
            LotSheet::new(&field, &analysis, lot)
        };
        let told = |kin: &[Kin]| -> Vec<(String, Option<f64>, bool)> {
            kin.iter().map(|kin| (kin.lot_no.clone(), kin.quantity, kin.converted)).collect()
        };
        let before = sheet("TB-1");
        assert_eq!(told(&before.went_into), [("TB-2".to_owned(), Some(25.0), true)]);
        let own: u64 = before.held.iter().map(|held| held.in_service).sum();
        assert_eq!((own, before.in_service), (75, 100.0), "25 have another lot's number");
        let after = sheet("TB-2");
        let both = [("TC-2".to_owned(), Some(25.0), false), ("TB-1".to_owned(), Some(25.0), true)];
        assert_eq!(told(&after.made_from), both);
        assert_eq!(told(&sheet("TC-2").went_into), [("TB-2".to_owned(), Some(25.0), false)]);
    }
}
