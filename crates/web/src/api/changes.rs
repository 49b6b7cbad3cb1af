//! `GET /changes`: what a change is and what it brings in grams and failures.

use axum::Json;
use axum::extract::{Path, Query, State};
use chrono::NaiveDate;
use domain::analysis::ChangeResult;
use domain::field::{Day, Field};
use domain::permission::Act;
use serde::Serialize;
use utoipa::ToSchema;

use super::caller::Caller;
use super::paging::Paging;
use super::problem::{ApiError, Problem};
use crate::analyse::ChangeView;
use crate::error::AppError;
use crate::state::AppState;

/// A part of the list, in the order of the books.
#[derive(Serialize, ToSchema)]
#[schema(as = Changes)]
pub(super) struct ChangeList {
    /// The day of the figures.
    as_of: NaiveDate,
    /// The changes.
    changes: Vec<Change>,
    /// What to send as `after` for the next part; `null` at the end.
    next: Option<String>,
}

/// A change: facts and figures.
#[derive(Serialize, ToSchema)]
pub(super) struct Change {
    /// Its title.
    title: String,
    /// The part that changes.
    #[schema(examples("RC-131"))]
    part_no: String,
    /// The revision before.
    #[schema(examples("A"))]
    from_revision: String,
    /// The revision after.
    #[schema(examples("B"))]
    to_revision: String,
    /// The modes it is meant to cure; every mode of the part when empty.
    modes: Vec<String>,
    /// Where it stands, such as `submitted` or `cut in`; `null` where the books don't say.
    state: Option<&'static str>,
    /// First lot built to it.
    cut_in_lot: Option<String>,
    /// When that was.
    cut_in_on: Option<NaiveDate>,
    /// The lots it takes effect at: as proposed, as approved and as accomplished.
    effectivity: Vec<Effectivity>,
    /// The figures, as `analysis` has them.
    figures: ChangeView,
}

/// One range of lots.
#[derive(Serialize, ToSchema)]
struct Effectivity {
    /// `proposed`, `approved` or `accomplished`.
    #[schema(examples("accomplished"))]
    stage: &'static str,
    /// The maker; every maker when `null`.
    maker: Option<String>,
    /// First lot number, inclusive.
    from_lot: Option<String>,
    /// Last lot number, inclusive; open when `null`.
    to_lot: Option<String>,
    /// Share of each lot built to the change.
    #[schema(minimum = 0, maximum = 1)]
    share_new: f64,
    /// From when.
    from_date: Option<NaiveDate>,
}

impl Change {
    pub(super) fn new(field: &Field, result: &ChangeResult) -> Self {
        let change = &field.changes[result.change];
        let revision = |of| field.revisions[of].revision.to_string();
        let text = |text: &Option<Box<str>>| text.as_deref().map(str::to_owned);
        let range = |of: &domain::field::EffectivityFacts| Effectivity {
            stage: of.stage.word(),
            maker: of.maker.map(|maker| field.makers[maker].to_owned()),
            from_lot: text(&of.from_lot),
            to_lot: text(&of.to_lot),
            share_new: of.share_new,
            from_date: of.from_date.map(Day::date),
        };
        Self {
            title: change.title.to_string(),
            part_no: field.part_names[change.part].to_owned(),
            from_revision: revision(change.from),
            to_revision: revision(change.to),
            modes: change.modes.iter().map(|&mode| field.modes[mode].code.to_string()).collect(),
            state: change.state.map(domain::change::ChangeState::word),
            cut_in_lot: change.cut_in_lot.map(|lot| field.lots[lot].lot_no.to_string()),
            cut_in_on: change.cut_in_on.map(Day::date),
            effectivity: change.effectivity.iter().map(range).collect(),
            figures: ChangeView::new(field, result),
        }
    }
}

/// Changes, in the order of the books
#[utoipa::path(get, path = "/changes", tag = "Results", operation_id = "changes", params(Paging), responses(
    (status = 200, description = "A part of the list.", body = ChangeList, example = json!(super::samples::changes())),
))]
pub(super) async fn list(
    State(state): State<AppState>,
    caller: Caller,
    Query(paging): Query<Paging>,
) -> Result<Json<ChangeList>, ApiError> {
    caller.may(&Act::ReadChanges)?;
    let picture = state.picture().await?;
    let field = &picture.field;
    let key = |result: &&ChangeResult| field.changes[result.change].change_no.to_string();
    let (rows, next) = paging.part(picture.analysis.changes.iter().collect(), key)?;
    let changes = rows.into_iter().map(|result| Change::new(field, result)).collect();
    Ok(Json(ChangeList { as_of: picture.analysis.as_of, changes, next }))
}

/// One change
#[utoipa::path(get, path = "/changes/{change_no}", tag = "Results", operation_id = "change",
    params(("change_no" = String, Path, description = "Its number.", example = "2026-014")),
    responses(
        (status = 200, description = "The change.", body = Change, example = json!(super::samples::change())),
        (status = 404, description = "No such change.", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(super) async fn show(
    State(state): State<AppState>,
    caller: Caller,
    Path(change_no): Path<String>,
) -> Result<Json<Change>, ApiError> {
    caller.may(&Act::ReadChanges)?;
    let picture = state.picture().await?;
    let id = picture.field.find_change(&change_no);
    let result = picture.analysis.changes.iter().find(|result| Some(result.change) == id);
    let result = result.ok_or_else(|| AppError::NotFound("There is no such change.".to_owned()))?;
    Ok(Json(Change::new(&picture.field, result)))
}
