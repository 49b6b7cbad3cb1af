//! The rows of change records and how they read back.

use chrono::{DateTime, Utc};
use domain::change_record::Prediction;
use sea_orm::entity::prelude::*;
use sea_orm::{QueryOrder as _, QuerySelect as _};

use super::RecordBody;
use crate::error::Result;
use crate::read_back::Row;
use crate::{journal, user};

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "change_record")]
pub(crate) struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub change_no: String,
    pub recurrence_part_no: Option<String>,
    pub recurrence_mode: Option<String>,
    pub problem: String,
    pub description: String,
    pub prediction_basis: Option<String>,
    pub ratio_low: Option<f64>,
    pub ratio_best: Option<f64>,
    pub ratio_high: Option<f64>,
    pub prediction_source: Option<String>,
    pub retrofit: Option<String>,
    pub retrofit_note: Option<String>,
    pub class: Option<String>,
    pub priority: Option<String>,
    pub justification: Option<String>,
    pub cost_note: Option<String>,
    pub drafted_by: Option<i64>,
    pub drafted_at: DateTime<Utc>,
    pub submitted_at: Option<DateTime<Utc>>,
    pub revision: i64,
    pub version: i64,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

/// Acts in the journal that move a change from one state to another.
pub(super) const STATE_ACTS: [&str; 7] =
    ["draft", "submit", "withdraw", "decide", "reopen", "cut in", "conclude"];

pub(super) async fn body_of(db: &impl ConnectionTrait, change_no: &str) -> Result<Option<RecordBody>> {
    let Some(row) = Entity::find_by_id(change_no).one(db).await? else { return Ok(None) };
    let drafted_by_name = match row.drafted_by {
        Some(id) => user::Entity::find_by_id(id).one(db).await?.map(|user| user.full_name),
        None => None,
    };
    let read = Row { table: "change_record", id: &row.change_no };
    let prediction = match (&row.prediction_basis, row.ratio_low, row.ratio_best, row.ratio_high) {
        (Some(basis), Some(ratio_low), Some(ratio_best), Some(ratio_high)) => Some(Prediction {
            basis: read.word("prediction_basis", basis)?,
            ratio_low,
            ratio_best,
            ratio_high,
            source: row.prediction_source.clone().unwrap_or_default(),
        }),
        _ => None,
    };
    Ok(Some(RecordBody {
        recurrence: row.recurrence_part_no.clone().zip(row.recurrence_mode.clone()),
        prediction,
        retrofit: read.optional_word("retrofit", row.retrofit.as_deref())?,
        priority: read.optional_word("priority", row.priority.as_deref())?,
        justification: read.optional_word("justification", row.justification.as_deref())?,
        revision: read.number("revision", row.revision)?,
        problem: row.problem,
        description: row.description,
        retrofit_note: row.retrofit_note,
        cost_note: row.cost_note,
        drafted_by: row.drafted_by,
        drafted_by_name,
        drafted_at: row.drafted_at,
        submitted_at: row.submitted_at,
        version: row.version,
    }))
}

/// When the change last moved from one state to another.
pub(super) async fn stands_since(
    db: &impl ConnectionTrait,
    change_no: &str,
) -> Result<Option<DateTime<Utc>>> {
    let latest = journal::Entity::find()
        .filter(journal::Column::Noun.eq("change"))
        .filter(journal::Column::Key.eq(change_no))
        .filter(journal::Column::Act.is_in(STATE_ACTS))
        .order_by_desc(journal::Column::Id)
        .select_only()
        .column(journal::Column::At)
        .into_tuple::<DateTime<Utc>>()
        .one(db)
        .await?;
    Ok(latest)
}
