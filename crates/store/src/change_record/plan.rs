//! What a record says beyond its body: the edition of its target time, the signed part numbers, unit costs.

use std::collections::HashMap;

use chrono::{DateTime, Utc};
use domain::reidentification::LevelAnswer;
use domain::retrofit::Costs;
use sea_orm::ActiveValue::{NotSet, Set};
use sea_orm::entity::prelude::*;
use sea_orm::{IntoActiveModel as _, QueryOrder as _};

use super::documents::{AffectedDocument, documents_of};
use super::gathered::{ByChange, by_change};
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

pub(super) mod of_change {
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

pub(super) mod level {
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

/// What records say beyond their bodies; a record that isn't among them says nothing more.
pub(super) async fn argued(db: &impl ConnectionTrait, changes: &[String]) -> Result<HashMap<String, Argued>> {
    let mut argued = HashMap::<String, Argued>::new();
    for plan in of_change::Entity::find().filter(of_change::Column::ChangeNo.is_in(changes)).all(db).await? {
        let costs = Costs {
            currency: plan.currency,
            new_item: plan.new_item,
            conversion: plan.conversion,
            scrapped_item: plan.scrapped_item,
            recall_months: plan.recall_months,
            source: plan.cost_source,
        };
        let levels_signed = plan.levels_signature.zip(plan.levels_signed_at);
        let priority_edition = plan.priority_edition;
        let of = Argued { priority_edition, levels_signed, costs, ..Argued::default() };
        argued.insert(plan.change_no, of);
    }
    for (change_no, levels) in levels_of(db, changes).await? {
        argued.entry(change_no).or_default().levels = levels;
    }
    for (change_no, documents) in documents_of(db, changes).await? {
        argued.entry(change_no).or_default().documents = documents;
    }
    for (change_no, remarks) in remarks_of(db, changes).await? {
        argued.entry(change_no).or_default().remarks = remarks;
    }
    for (change_no, enclosures) in enclosures_of(db, changes).await? {
        argued.entry(change_no).or_default().enclosures = enclosures;
    }
    Ok(argued)
}

async fn levels_of(db: &impl ConnectionTrait, changes: &[String]) -> Result<ByChange<LevelAnswer>> {
    use level::Column as C;
    let rows = level::Entity::find().filter(C::ChangeNo.is_in(changes)).order_by_asc(C::Id);
    let mut levels = by_change(rows.all(db).await?, |row| {
        let level::Model { change_no, part_no, interchangeable, new_number, words, .. } = row;
        Ok((change_no, LevelAnswer { part_no, interchangeable, new_number, words }))
    })?;
    for levels in levels.values_mut() {
        levels.sort_by(|a, b| a.part_no.cmp(&b.part_no));
    }
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
