//! The rows of change records and how they read back.

use std::collections::HashMap;

use chrono::{DateTime, Utc};
use domain::change_record::Prediction;
use sea_orm::entity::prelude::*;
use sea_orm::{QueryOrder as _, QuerySelect as _};

use super::RecordBody;
use crate::error::Result;
use crate::journal;
use crate::read_back::Row;

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

/// What was written of changes here; `people` has everybody's name.
pub(super) async fn bodies_of(
    db: &impl ConnectionTrait,
    changes: &[String],
    people: &HashMap<i64, String>,
) -> Result<HashMap<String, RecordBody>> {
    let rows = Entity::find().filter(Column::ChangeNo.is_in(changes)).all(db).await?;
    rows.into_iter().map(|row| Ok((row.change_no.clone(), body_of(row, people)?))).collect()
}

fn body_of(row: Model, people: &HashMap<i64, String>) -> Result<RecordBody> {
    let drafted_by_name = row.drafted_by.and_then(|id| people.get(&id).cloned());
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
    Ok(RecordBody {
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
    })
}

/// When changes last moved from one state to another.
pub(super) async fn stand_since(
    db: &impl ConnectionTrait,
    changes: &[String],
) -> Result<HashMap<String, DateTime<Utc>>> {
    use journal::Column as C;
    let moved: Vec<(String, DateTime<Utc>)> = journal::Entity::find()
        .filter(C::Noun.eq("change"))
        .filter(C::Key.is_in(changes))
        .filter(C::Act.is_in(STATE_ACTS))
        .order_by_asc(C::Id)
        .select_only()
        .columns([C::Key, C::At])
        .into_tuple()
        .all(db)
        .await?;
    // The latest of each comes last.
    Ok(moved.into_iter().collect())
}
