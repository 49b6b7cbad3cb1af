//! Answers to the units that reported: what was found, what changed, whether their stock is affected.

use chrono::{DateTime, Utc};
use domain::handling::ReportState;
use domain::permission::Actor;
use sea_orm::ActiveValue::{NotSet, Set};
use sea_orm::QueryOrder as _;
use sea_orm::entity::prelude::*;

use crate::connect::Store;
use crate::error::Result;
use crate::journal::{Entry, enter, moment, named};
use crate::json;
use crate::{handling, meanwhile, report};

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "answer")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub report_ref: String,
    pub text: String,
    pub by: String,
    pub at: DateTime<Utc>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

/// An answer to the unit that reported.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Answer {
    /// What it says.
    pub text: String,
    /// Who answers.
    pub by: String,
    /// When.
    pub at: DateTime<Utc>,
}

/// The answers about a report, first given first.
pub(crate) async fn of_report(db: &impl ConnectionTrait, report_ref: &str) -> Result<Vec<Answer>> {
    let rows =
        Entity::find().filter(Column::ReportRef.eq(report_ref)).order_by_asc(Column::Id).all(db).await?;
    Ok(rows.into_iter().map(|Model { text, by, at, .. }| Answer { text, by, at }).collect())
}

impl Store {
    /// Answers the unit that reported. A report that has been sorted is then `answered`; others go on waiting. `shown`
    /// is as with [`Store::sort_report`].
    ///
    /// # Errors
    /// [`crate::StoreError::Missing`] where there is no such report; [`crate::StoreError::Overtaken`] where something was
    /// decided since what was shown.
    pub async fn answer_report(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        (report_ref, shown): (&str, Option<i64>),
        text: &str,
    ) -> Result<()> {
        let tx = self.begin().await?;
        let of = report::need_row(&tx, report_ref).await?;
        let about = meanwhile::about(report_ref);
        if let Some(twin) = about.check(&tx, (by, "answer"), shown).await? {
            let given = of_report(&tx, report_ref).await?;
            let is_the_same = given.last().is_some_and(|answer| answer.text == text);
            return about.repeats(is_the_same && twin.noun == "answer");
        }
        let row = ActiveModel {
            id: NotSet,
            report_ref: Set(report_ref.to_owned()),
            text: Set(text.to_owned()),
            by: Set(named(by).0),
            at: Set(moment(now)),
        };
        let answer = Entity::insert(row).exec_with_returning(&tx).await?;
        let mut standing = handling::of(&tx, &of).await?;
        if standing.state == ReportState::Sorted.word() {
            ReportState::Answered.word().clone_into(&mut standing.state);
            handling::keep(&tx, standing).await?;
        }
        enter(&tx, by, now, Entry::new("answer", "answer", report_ref).after(json::row(answer))).await?;
        Ok(tx.commit().await?)
    }
}
