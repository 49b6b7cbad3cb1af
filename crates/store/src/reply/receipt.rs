//! Units that said an instruction came.

use chrono::{DateTime, Utc};
use sea_orm::ActiveValue::{NotSet, Set};
use sea_orm::QueryOrder as _;
use sea_orm::entity::prelude::*;

use crate::error::Result;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "instruction_receipt")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub instruction_id: i64,
    pub unit: String,
    pub received_at: DateTime<Utc>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

/// Whether this was the first time that the unit said so.
pub(super) async fn add(
    db: &impl ConnectionTrait,
    instruction_id: i64,
    unit: &str,
    at: DateTime<Utc>,
) -> Result<bool> {
    let said = Entity::find().filter(Column::InstructionId.eq(instruction_id)).filter(Column::Unit.eq(unit));
    if said.count(db).await? > 0 {
        return Ok(false);
    }
    let row = ActiveModel {
        id: NotSet,
        instruction_id: Set(instruction_id),
        unit: Set(unit.to_owned()),
        received_at: Set(at),
    };
    Entity::insert(row).exec_without_returning(db).await?;
    Ok(true)
}

/// Units that said so, in the order they did.
pub(super) async fn of(
    db: &impl ConnectionTrait,
    instruction_id: i64,
) -> Result<Vec<(String, DateTime<Utc>)>> {
    let rows = Entity::find().filter(Column::InstructionId.eq(instruction_id)).order_by_asc(Column::Id);
    Ok(rows.all(db).await?.into_iter().map(|row| (row.unit, row.received_at)).collect())
}
