//! `GET /lots/{lot_no}`: what a lot is, where it is, and what was reported of it.

use axum::Json;
use axum::extract::{Path, Query, State};
use chrono::NaiveDate;
use domain::analysis::Analysis;
use domain::field::{Field, LotId};
use domain::permission::Act;
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

use super::caller::Caller;
use super::problem::{ApiError, Problem};
use crate::analyse::LotView;
use crate::pages::lots::{find, lines_of, where_held};
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
    /// Item-years in service by the day.
    #[schema(minimum = 0)]
    item_years: f64,
    /// The fewest item-years the books allow.
    #[schema(minimum = 0)]
    item_years_low: f64,
    /// The most item-years the books allow.
    #[schema(minimum = 0)]
    item_years_high: f64,
    /// The lots it was made from.
    made_from: Vec<Kin>,
    /// The lots it went into.
    went_into: Vec<Kin>,
    /// Where its items are, most in service first.
    held: Vec<Held>,
    /// What was reported of it, by recurrence.
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
    /// How much of it, in its own unit; `null` where nobody wrote it down.
    quantity: Option<f64>,
}

/// Items at one unit.
#[derive(Serialize, ToSchema)]
struct Held {
    /// The unit; `null` for what was returned and not issued again.
    unit: Option<String>,
    /// Items in service.
    in_service: u64,
    /// Items waiting in store, depot or repair.
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
    figures: LotView,
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
        let kin = |used: &[(LotId, Option<f64>)]| {
            let kin = |&(of, quantity): &(LotId, Option<f64>)| Kin {
                lot_no: field.lots[of].lot_no.to_string(),
                part_no: field.part_names[field.part_of_lot(of)].to_owned(),
                maker: maker(of),
                quantity,
            };
            used.iter().map(kin).collect()
        };
        let held = where_held(analysis, id).into_iter().map(|(unit, in_service, waiting)| Held {
            unit: unit.map(|unit| field.unit_names[unit].to_owned()),
            in_service,
            waiting,
        });
        let lines = lines_of(analysis, id).into_iter().map(|(r, line)| Line {
            part_no: field.part_names[r.part].to_owned(),
            mode: field.modes[r.mode].code.to_string(),
            figures: LotView::new(field, line),
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
            item_years: years.best,
            item_years_low: years.low,
            item_years_high: years.high,
            made_from: kin(&lot.used),
            went_into: kin(&lot.used_in),
            held: held.collect(),
            recurrences: lines.collect(),
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
