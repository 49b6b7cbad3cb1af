//! How approved changes are to be proved.

use std::collections::HashMap;

use chrono::{DateTime, NaiveDate, Utc};
use domain::permission::Actor;
use domain::proof_plan::{Planned, ProofPlan};
use sea_orm::ActiveValue::Set;
use sea_orm::entity::prelude::*;

use crate::connect::Store;
use crate::error::Result;
use crate::journal::{moment, named};

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "proof_plan")]
pub(crate) struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub change_no: String,
    pub ratio_worth_having: f64,
    pub power: f64,
    pub item_years: Option<f64>,
    pub reached_on: Option<NaiveDate>,
    pub planned_by: Option<i64>,
    pub planned_at: DateTime<Utc>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

/// A plan as it was approved.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ApprovedPlan {
    /// What was decided.
    pub plan: ProofPlan,
    /// Item-years of the new lots it was worked out to take.
    pub item_years: Option<f64>,
    /// When they should be reached, as it looked then.
    pub reached_on: Option<NaiveDate>,
    /// When it was decided.
    pub planned_at: DateTime<Utc>,
}

/// Writes a plan in the transaction of the approval.
pub(crate) async fn write(
    db: &impl ConnectionTrait,
    by: &Actor,
    now: DateTime<Utc>,
    change_no: &str,
    (plan, planned): (ProofPlan, Option<Planned>),
) -> Result<()> {
    plan.check()?;
    let row = ActiveModel {
        change_no: Set(change_no.to_owned()),
        ratio_worth_having: Set(plan.ratio_worth_having),
        power: Set(plan.power),
        item_years: Set(planned.and_then(|planned| planned.item_years)),
        reached_on: Set(planned.and_then(|planned| planned.reached_on)),
        planned_by: Set(named(by).1),
        planned_at: Set(moment(now)),
    };
    Entity::insert(row).exec_without_returning(db).await?;
    Ok(())
}

fn approved(row: &Model) -> ApprovedPlan {
    ApprovedPlan {
        plan: ProofPlan { ratio_worth_having: row.ratio_worth_having, power: row.power },
        item_years: row.item_years,
        reached_on: row.reached_on,
        planned_at: row.planned_at,
    }
}

/// The plans of some changes, of those that have one.
pub(crate) async fn of_changes(
    db: &impl ConnectionTrait,
    changes: &[String],
) -> Result<HashMap<String, ApprovedPlan>> {
    let rows = Entity::find().filter(Column::ChangeNo.is_in(changes)).all(db).await?;
    Ok(rows.into_iter().map(|row| (row.change_no.clone(), approved(&row))).collect())
}

impl Store {
    /// The plan of a change's proof, once it was approved.
    pub async fn find_proof_plan(&self, change_no: &str) -> Result<Option<ApprovedPlan>> {
        let row = Entity::find_by_id(change_no).one(self.reader()).await?;
        Ok(row.as_ref().map(approved))
    }
}
