//! `GET /lots/{lot_no}/lineage` and `/holders`: what a lot was made from, where it went and who holds it.

use axum::Json;
use axum::extract::{Path, Query, State};
use chrono::NaiveDate;
use domain::field::{Field, LotId};
use domain::ledger::{part_of, size_of};
use domain::lineage::{Held, Holder, Kin, Lineage, UnknownLot, Whereabouts, changes_of};
use domain::permission::Act;
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

use super::caller::Caller;
use super::lots::Of;
use super::problem::{ApiError, Problem};
use crate::pages::lots::{find, whereabouts};
use crate::state::AppState;

/// The lineage of a lot.
#[derive(Serialize, ToSchema)]
#[schema(as = Lineage)]
pub(super) struct LineageSheet {
    /// The day of the figures.
    as_of: NaiveDate,
    /// The lot's number as marked.
    #[schema(examples("NT25-0143"))]
    lot_no: String,
    /// What it was made from, sewn in or by conversion, through any number of steps, nearest first.
    made_from: Vec<Relative>,
    /// What it went into, sewn in or by conversion, through any number of steps, nearest first.
    went_into: Vec<Relative>,
}

/// A lot above or below another, through any number of steps.
#[derive(Serialize, ToSchema)]
struct Relative {
    /// Its number as marked.
    lot_no: String,
    /// What was made.
    part_no: String,
    /// In which revision.
    revision: String,
    /// Who made it.
    maker: Option<String>,
    /// Steps away by the longest way.
    #[schema(minimum = 1)]
    steps: usize,
    /// Quantity of the upper lot in the lower, in the upper's unit; `null` where nobody wrote it down.
    #[schema(minimum = 0)]
    quantity: Option<f64>,
    /// Share of the lower lot's items to be expected to have it.
    #[schema(minimum = 0, maximum = 1)]
    share: f64,
    /// The most items of the lower lot that can have it; `null` where records set no limit.
    #[schema(minimum = 0)]
    items_high: Option<f64>,
    /// The most items of the lower lot that can be without it; `null` where records set no limit.
    #[schema(minimum = 0)]
    items_without_high: Option<f64>,
    /// Changes it was built to.
    changes: Vec<ChangeMark>,
}

/// A change that a lot was built to.
#[derive(Serialize, ToSchema)]
#[schema(as = LotChange)]
struct ChangeMark {
    /// Its number.
    change_no: String,
    /// Whether it cut in with this lot.
    first: bool,
}

/// Who holds what was made from a lot.
#[derive(Serialize, ToSchema)]
#[schema(as = Holders)]
pub(super) struct HoldersSheet {
    /// The date.
    on: NaiveDate,
    /// The lot's number as marked.
    #[schema(examples("NT25-0143"))]
    lot_no: String,
    /// All items that contain it, in service, stored or returned: of an item lot its own items and those that were converted
    /// from it.
    total: Items,
    /// Of these, in service.
    in_service: Items,
    /// By unit and lot.
    holders: Vec<HolderRow>,
    /// Other items whose lot is not on record and that can contain it.
    lot_not_known: Vec<UnknownRow>,
}

/// A number of items with the least and the most that records allow.
#[derive(Serialize, ToSchema)]
struct Items {
    /// To be expected.
    #[schema(minimum = 0)]
    best: f64,
    /// The fewest.
    #[schema(minimum = 0)]
    low: f64,
    /// The most.
    #[schema(minimum = 0)]
    high: f64,
}

/// Items of one lot at one unit, or of no known lot that were given a part of the lot in question.
#[derive(Serialize, ToSchema)]
#[schema(as = Holder)]
struct HolderRow {
    /// The unit; `null` for what was returned and not issued again.
    unit: Option<String>,
    /// The lot the items are of; `null` where it is not on record, and they are known by part number alone.
    lot_no: Option<String>,
    /// What they are.
    part_no: String,
    /// Their size.
    size: Option<String>,
    /// Whether they are in service there, or stored.
    in_service: bool,
    /// Items of that lot there; without a lot, those alone that were given such a part.
    items: Items,
    /// Of these, those that contain the lot in question.
    containing: Items,
}

/// Items at one unit whose lot is not on record.
#[derive(Serialize, ToSchema)]
#[schema(as = HolderOfUnknownLot)]
struct UnknownRow {
    /// The unit; `null` for what was returned and not issued again.
    unit: Option<String>,
    /// What they are.
    part_no: String,
    /// Their size, where known.
    size: Option<String>,
    /// Whether they are in service there, or stored.
    in_service: bool,
    /// How many, of which any may contain it.
    items: u64,
}

/// Which of several lots of one number, and when.
#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub(super) struct OfOn {
    /// The maker, where several used the number.
    maker: Option<String>,
    /// The date, not after today; today when left out.
    #[param(value_type = Option<NaiveDate>)]
    on: Option<String>,
}

impl OfOn {
    /// The date that is asked for.
    ///
    /// # Errors
    /// What is no date, or one after today.
    fn on(&self, today: NaiveDate) -> Result<NaiveDate, ApiError> {
        let Some(text) = self.on.as_deref() else { return Ok(today) };
        let Ok(on) = text.parse::<NaiveDate>() else {
            return Err(ApiError::field("on", "Expected a date such as 2026-03-09, not after today."));
        };
        if on > today {
            return Err(ApiError::field("on", "The date is after today."));
        }
        Ok(on)
    }
}

impl LineageSheet {
    pub(super) fn new(field: &Field, as_of: NaiveDate, lot: LotId) -> Self {
        let lineage = Lineage::of(field, lot);
        let all = |kin: &[Kin]| kin.iter().map(|kin| relative(field, kin)).collect();
        Self {
            as_of,
            lot_no: field.lots[lot].lot_no.to_string(),
            made_from: all(&lineage.up),
            went_into: all(&lineage.down),
        }
    }
}

fn relative(field: &Field, kin: &Kin) -> Relative {
    let facts = &field.lots[kin.lot];
    let finite = |number: f64| number.is_finite().then_some(number);
    let marks = changes_of(field, kin.lot).into_iter();
    Relative {
        lot_no: facts.lot_no.to_string(),
        part_no: field.part_names[field.part_of_lot(kin.lot)].to_owned(),
        revision: field.revisions[facts.revision].revision.to_string(),
        maker: facts.maker.map(|maker| field.makers[maker].to_owned()),
        steps: kin.steps,
        quantity: kin.amount,
        share: kin.content.share,
        items_high: finite(kin.content.most),
        items_without_high: finite(kin.content.without),
        changes: marks
            .map(|cut| ChangeMark {
                change_no: field.changes[cut.change].change_no.to_string(),
                first: cut.is_first,
            })
            .collect(),
    }
}

impl HoldersSheet {
    pub(super) fn new(field: &Field, found: &Whereabouts) -> Self {
        Self {
            on: found.on.date(),
            lot_no: field.lots[found.of].lot_no.to_string(),
            total: items(found.total),
            in_service: items(found.in_service),
            holders: found.holders.iter().map(|holder| holder_row(field, holder)).collect(),
            lot_not_known: found.unknown.iter().map(|row| unknown_row(field, row)).collect(),
        }
    }
}

const fn items(held: Held) -> Items {
    Items { best: held.best, low: held.low, high: held.high }
}

fn holder_row(field: &Field, holder: &Holder) -> HolderRow {
    HolderRow {
        unit: holder.unit.map(|unit| field.unit_names[unit].to_owned()),
        lot_no: holder.lot().map(|lot| field.lots[lot].lot_no.to_string()),
        part_no: field.part_names[part_of(field, holder.stock)].to_owned(),
        size: size_of(field, holder.stock).map(|size| field.sizes[size].to_owned()),
        in_service: holder.in_service,
        items: items(holder.items),
        containing: items(holder.containing),
    }
}

fn unknown_row(field: &Field, row: &UnknownLot) -> UnknownRow {
    UnknownRow {
        unit: row.unit.map(|unit| field.unit_names[unit].to_owned()),
        part_no: field.part_names[row.item].to_owned(),
        size: row.size.map(|size| field.sizes[size].to_owned()),
        in_service: row.in_service,
        items: row.items,
    }
}

/// A lot's lineage
#[utoipa::path(get, path = "/lots/{lot_no}/lineage", tag = "Results", operation_id = "lot_lineage",
    params(("lot_no" = String, Path, description = "The number as marked.", example = "NT25-0143"), Of),
    responses(
        (status = 200, description = "What it was made from and where it went.", body = LineageSheet,
            example = json!(super::samples::lineage())),
        (status = 404, description = "No such lot, or several: then name the maker.", body = Problem,
            content_type = "application/problem+json"),
    ),
)]
pub(super) async fn lineage(
    State(state): State<AppState>,
    caller: Caller,
    Path(lot_no): Path<String>,
    Query(of): Query<Of>,
) -> Result<Json<LineageSheet>, ApiError> {
    caller.may(&Act::ReadField)?;
    let picture = state.picture().await?;
    let lot = find(&picture.field, &lot_no, of.maker())?;
    Ok(Json(LineageSheet::new(&picture.field, picture.analysis.as_of, lot)))
}

/// Who holds what was made from a lot
#[utoipa::path(get, path = "/lots/{lot_no}/holders", tag = "Results", operation_id = "lot_holders",
    params(("lot_no" = String, Path, description = "The number as marked.", example = "NT25-0143"), OfOn),
    responses(
        (status = 200, description = "Units and quantities on the date.", body = HoldersSheet,
            example = json!(super::samples::holders())),
        (status = 404, description = "No such lot, or several: then name the maker.", body = Problem,
            content_type = "application/problem+json"),
        (status = 422, description = "No date, or one after today.", body = Problem,
            content_type = "application/problem+json"),
    ),
)]
pub(super) async fn holders(
    State(state): State<AppState>,
    caller: Caller,
    Path(lot_no): Path<String>,
    Query(of): Query<OfOn>,
) -> Result<Json<HoldersSheet>, ApiError> {
    caller.may(&Act::ReadField)?;
    let picture = state.picture().await?;
    let lot = find(&picture.field, &lot_no, of.maker.as_deref())?;
    let on = of.on(picture.analysis.as_of)?;
    let found = whereabouts(&picture, lot, on).await?;
    Ok(Json(HoldersSheet::new(&picture.field, &found)))
}
