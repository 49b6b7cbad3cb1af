//! What a record says beyond its body: the edition of its target time, the signed part numbers, unit costs.

use chrono::{DateTime, Utc};
use domain::reidentification::LevelAnswer;
use domain::retrofit::Costs;
use sea_orm::ActiveValue::{NotSet, Set};
use sea_orm::IntoActiveModel as _;
use sea_orm::entity::prelude::*;

use super::documents::{AffectedDocument, documents_of};
use super::remarks::{EnclosureFacts, Remark, enclosures_of, remarks_of};
use crate::error::Result;
use crate::journal::moment;

/// What a record says beyond its body.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Argued {
    /// The edition of the target time; the one in force where none is named.
    pub priority_edition: Option<String>,
    /// The engineer's answers, part by part, on which part numbers change.
    pub levels: Vec<LevelAnswer>,
    /// Under which name and when they were signed.
    pub levels_signed: Option<(String, DateTime<Utc>)>,
    /// What things cost.
    pub costs: Costs,
    /// Documents that it alters.
    pub documents: Vec<AffectedDocument>,
    /// Remarks, oldest first.
    pub remarks: Vec<Remark>,
    /// Files enclosed, oldest first.
    pub enclosures: Vec<EnclosureFacts>,
}

mod of_change {
    use chrono::{DateTime, Utc};
    use sea_orm::entity::prelude::*;

    #[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
    #[sea_orm(table_name = "change_plan")]
    pub(crate) struct Model {
        #[sea_orm(primary_key, auto_increment = false)]
        pub change_no: String,
        pub priority_edition: Option<String>,
        pub levels_signature: Option<String>,
        pub levels_signed_at: Option<DateTime<Utc>>,
        pub currency: Option<String>,
        pub new_item: Option<f64>,
        pub conversion: Option<f64>,
        pub scrapped_item: Option<f64>,
        pub recall_months: Option<f64>,
        pub cost_source: Option<String>,
    }

    #[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
    pub(crate) enum Relation {}

    impl ActiveModelBehavior for ActiveModel {}
}

mod level {
    use sea_orm::entity::prelude::*;

    #[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
    #[sea_orm(table_name = "change_level")]
    pub(crate) struct Model {
        #[sea_orm(primary_key)]
        pub id: i64,
        pub change_no: String,
        pub part_no: String,
        pub interchangeable: bool,
        pub new_number: bool,
        pub words: String,
    }

    #[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
    pub(crate) enum Relation {}

    impl ActiveModelBehavior for ActiveModel {}
}

pub(super) async fn argued(db: &impl ConnectionTrait, change_no: &str) -> Result<Argued> {
    let plan = of_change::Entity::find_by_id(change_no).one(db).await?;
    let mut argued = Argued {
        levels: levels_of(db, change_no).await?,
        documents: documents_of(db, change_no).await?,
        remarks: remarks_of(db, change_no).await?,
        enclosures: enclosures_of(db, change_no).await?,
        ..Argued::default()
    };
    if let Some(plan) = plan {
        argued.priority_edition = plan.priority_edition;
        argued.levels_signed = plan.levels_signature.zip(plan.levels_signed_at);
        argued.costs = Costs {
            currency: plan.currency,
            new_item: plan.new_item,
            conversion: plan.conversion,
            scrapped_item: plan.scrapped_item,
            recall_months: plan.recall_months,
            source: plan.cost_source,
        };
    }
    Ok(argued)
}

async fn levels_of(db: &impl ConnectionTrait, change_no: &str) -> Result<Vec<LevelAnswer>> {
    let rows = level::Entity::find().filter(level::Column::ChangeNo.eq(change_no)).all(db).await?;
    let mut levels: Vec<LevelAnswer> = rows
        .into_iter()
        .map(|row| LevelAnswer {
            part_no: row.part_no,
            interchangeable: row.interchangeable,
            new_number: row.new_number,
            words: row.words,
        })
        .collect();
    levels.sort_by(|a, b| a.part_no.cmp(&b.part_no));
    Ok(levels)
}

/// Writes one change's plan as `alter` leaves it; a change without one gets one.
async fn alter(
    db: &impl ConnectionTrait,
    change_no: &str,
    alter: impl FnOnce(&mut of_change::ActiveModel) + Send,
) -> Result<()> {
    let found = of_change::Entity::find_by_id(change_no).one(db).await?;
    if let Some(row) = found {
        let mut row = row.into_active_model();
        alter(&mut row);
        row.update(db).await?;
        return Ok(());
    }
    let mut row = of_change::ActiveModel { change_no: Set(change_no.to_owned()), ..Default::default() };
    alter(&mut row);
    of_change::Entity::insert(row).exec_without_returning(db).await?;
    Ok(())
}

/// Names the edition of the target time.
pub(super) async fn write_edition(db: &impl ConnectionTrait, change_no: &str, edition: &str) -> Result<()> {
    domain::target_time::Edition::find(edition)?;
    alter(db, change_no, |row| row.priority_edition = Set(Some(edition.to_owned()))).await
}

/// Replaces all answers on part numbers, signed anew.
pub(super) async fn write_levels(
    db: &impl ConnectionTrait,
    now: DateTime<Utc>,
    change_no: &str,
    answers: &[LevelAnswer],
    signature: &str,
) -> Result<()> {
    level::Entity::delete_many().filter(level::Column::ChangeNo.eq(change_no)).exec(db).await?;
    let rows = answers.iter().map(|answer| level::ActiveModel {
        id: NotSet,
        change_no: Set(change_no.to_owned()),
        part_no: Set(answer.part_no.clone()),
        interchangeable: Set(answer.interchangeable),
        new_number: Set(answer.new_number),
        words: Set(answer.words.clone()),
    });
    level::Entity::insert_many(rows).exec_without_returning(db).await?;
    alter(db, change_no, |row| {
        row.levels_signature = Set(Some(signature.to_owned()));
        row.levels_signed_at = Set(Some(moment(now)));
    })
    .await
}

/// Replaces what things cost.
pub(super) async fn write_costs(db: &impl ConnectionTrait, change_no: &str, costs: &Costs) -> Result<()> {
    costs.check()?;
    alter(db, change_no, |row| {
        row.currency = Set(costs.currency.clone());
        row.new_item = Set(costs.new_item);
        row.conversion = Set(costs.conversion);
        row.scrapped_item = Set(costs.scrapped_item);
        row.recall_months = Set(costs.recall_months);
        row.cost_source = Set(costs.source.clone());
    })
    .await
}
