//! `GET /recurrences`: the figures of each recurrence with what people decided about it.

use axum::Json;
use axum::extract::{Path, Query, State};
use chrono::NaiveDate;
use domain::analysis::Recurrence;
use domain::field::Field;
use domain::permission::Act;
use serde::Serialize;
use store::RecurrenceRecord;
use utoipa::ToSchema;

use super::caller::Caller;
use super::paging::Paging;
use super::problem::ApiError;
use crate::analyse::RecurrenceView;
use crate::pages::recurrences::{find, part_name, risk_of, standings};
use crate::state::AppState;

/// A part of the list, worst first: by harm, then by evidence, then by reports.
#[derive(Serialize, ToSchema)]
#[schema(as = Recurrences)]
pub(super) struct RecurrenceList {
    /// The day of the figures.
    as_of: NaiveDate,
    /// The recurrences.
    recurrences: Vec<RecurrenceEntry>,
    /// What to send as `after` for the next part; `null` at the end.
    next: Option<String>,
}

/// One recurrence: figures and decisions.
#[derive(Serialize, ToSchema)]
pub(super) struct RecurrenceEntry {
    /// The part in plain words.
    #[schema(examples("Front slide fastener"))]
    part_name: String,
    /// The mode in plain words.
    #[schema(examples("chain split"))]
    mode_name: String,
    /// Where it stands: `standing`, `taken up`, `settled` or `back`.
    #[schema(examples("taken up"))]
    state: &'static str,
    /// Who has it.
    owner: Option<String>,
    /// What causes it, or why no cause was found.
    cause: Option<String>,
    /// What comes next.
    next_step: Option<String>,
    /// The risk as the page shows it: as a person judged it, else with the catalogue's severity.
    risk: RiskToday,
    /// The figures, as `analysis` has them.
    figures: RecurrenceView,
}

/// Risk by the matrix of MIL-STD-882E.
#[derive(Serialize, ToSchema)]
struct RiskToday {
    /// Severity category: 1 catastrophic to 4 negligible.
    #[schema(minimum = 1, maximum = 4)]
    severity: u8,
    /// Probability level A to F; `null` where it isn't known.
    #[schema(examples("C"))]
    probability: Option<&'static str>,
    /// Risk level; `null` where the probability isn't known.
    #[schema(examples("Serious"))]
    level: Option<&'static str>,
    /// Whether a person judged it.
    judged: bool,
}

impl RecurrenceEntry {
    pub(super) fn new(field: &Field, r: &Recurrence, record: Option<&RecurrenceRecord>) -> Self {
        let risk = risk_of(field, r, record);
        let standing = domain::recurrence::RecurrenceState::Standing;
        Self {
            part_name: part_name(field, r.part).to_owned(),
            mode_name: field.modes[r.mode].name.to_string(),
            state: record.map_or(standing, |record| record.state).word(),
            owner: record.and_then(|record| record.owner.clone()),
            cause: record.and_then(|record| record.cause.clone()),
            next_step: record.and_then(|record| record.next_step.clone()),
            risk: RiskToday {
                severity: risk.severity.number(),
                probability: risk.probability.map(domain::risk::Level::word),
                level: risk.level().map(domain::risk::RiskLevel::word),
                judged: risk.judged,
            },
            figures: RecurrenceView::new(field, r),
        }
    }
}

/// Recurrences, worst first
#[utoipa::path(get, path = "/recurrences", tag = "Results", operation_id = "recurrences", params(Paging), responses(
    (status = 200, description = "A part of the list.", body = RecurrenceList,
        example = json!(super::samples::recurrences())),
))]
pub(super) async fn list(
    State(state): State<AppState>,
    caller: Caller,
    Query(paging): Query<Paging>,
) -> Result<Json<RecurrenceList>, ApiError> {
    caller.may(&Act::ReadField)?;
    let picture = state.picture().await?;
    let field = &picture.field;
    let key = |r: &&Recurrence| format!("{} {}", &field.part_names[r.part], &field.modes[r.mode].code);
    let (rows, next) = paging.part(picture.analysis.recurrences.iter().collect(), key)?;
    let records = standings(field, &picture.analysis, state.store().list_recurrences().await?);
    let record_of = |r: &Recurrence| {
        records.iter().find(|record| {
            record.part_no == field.part_names[r.part] && *record.mode == *field.modes[r.mode].code
        })
    };
    let recurrences = rows.into_iter().map(|r| RecurrenceEntry::new(field, r, record_of(r))).collect();
    Ok(Json(RecurrenceList { as_of: picture.analysis.as_of, recurrences, next }))
}

/// One recurrence
#[utoipa::path(get, path = "/recurrences/{part_no}/{mode}", tag = "Results", operation_id = "recurrence",
    params(
        ("part_no" = String, Path, description = "The part that fails.", example = "RC-131"),
        ("mode" = String, Path, description = "How it fails, a code of the catalogue.", example = "ZIP-1"),
    ),
    responses(
        (status = 200, description = "The recurrence.", body = RecurrenceEntry,
            example = json!(super::samples::recurrence())),
        (status = 404, description = "No two relevant reports of this mode on this part, and none with harm.",
            body = super::problem::Problem, content_type = "application/problem+json"),
    ),
)]
pub(super) async fn show(
    State(state): State<AppState>,
    caller: Caller,
    Path(key): Path<(String, String)>,
) -> Result<Json<RecurrenceEntry>, ApiError> {
    caller.may(&Act::ReadField)?;
    let picture = state.picture().await?;
    let r = find(&picture, &key)?;
    let record = state.store().find_recurrence(&key.0, &key.1).await?;
    let record = standings(&picture.field, &picture.analysis, record.into_iter().collect()).pop();
    Ok(Json(RecurrenceEntry::new(&picture.field, r, record.as_ref())))
}
