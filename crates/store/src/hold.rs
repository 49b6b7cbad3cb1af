//! Holds on reports: while one stands, the contact details of the report are not deleted.

use chrono::{DateTime, Utc};
use domain::permission::Actor;
use domain::words::Problem;
use sea_orm::ActiveValue::{NotSet, Set};
use sea_orm::entity::prelude::*;
use sea_orm::{IntoActiveModel as _, QueryOrder as _};

use crate::connect::Store;
use crate::error::{Result, StoreError};
use crate::journal::{Entry, enter, moment, named};
use crate::{json, report};

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "hold")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub report_ref: String,
    pub reason: String,
    pub held_by: String,
    pub held_at: DateTime<Utc>,
    pub lifted_why: Option<String>,
    pub lifted_by: Option<String>,
    pub lifted_at: Option<DateTime<Utc>>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

/// A hold on a report.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hold {
    /// The store's number.
    pub id: i64,
    /// Why.
    pub reason: String,
    /// By whom.
    pub by: String,
    /// Since when.
    pub at: DateTime<Utc>,
    /// When it was lifted, by whom and why.
    pub lifted: Option<(DateTime<Utc>, String, String)>,
}

fn hold_of(row: Model) -> Hold {
    let lifted = row.lifted_at.map(|at| {
        (at, row.lifted_by.clone().unwrap_or_default(), row.lifted_why.clone().unwrap_or_default())
    });
    Hold { id: row.id, reason: row.reason, by: row.held_by, at: row.held_at, lifted }
}

async fn standing(db: &impl ConnectionTrait, report_ref: &str) -> Result<Option<Model>> {
    let of = Entity::find().filter(Column::ReportRef.eq(report_ref));
    Ok(of.filter(Column::LiftedAt.is_null()).one(db).await?)
}

/// Whether one stands on a report.
pub(crate) async fn stands(db: &impl ConnectionTrait, report_ref: &str) -> Result<bool> {
    Ok(standing(db, report_ref).await?.is_some())
}

fn reason_of(text: &str) -> Result<String> {
    match text.trim() {
        "" => Err(Problem::new("reason", "expected a reason").into()),
        reason => Ok(reason.to_owned()),
    }
}

impl Store {
    /// Puts a hold on a report.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where there is no such report; [`StoreError::Taken`] where one stands already;
    /// [`StoreError::Refused`] where no reason is given.
    pub async fn hold_report(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        report_ref: &str,
        why: &str,
    ) -> Result<()> {
        let reason = reason_of(why)?;
        let tx = self.begin().await?;
        report::need_row(&tx, report_ref).await?;
        if stands(&tx, report_ref).await? {
            return Err(StoreError::taken("hold", report_ref));
        }
        let row = ActiveModel {
            id: NotSet,
            report_ref: Set(report_ref.to_owned()),
            reason: Set(reason),
            held_by: Set(named(by).0),
            held_at: Set(moment(now)),
            lifted_why: Set(None),
            lifted_by: Set(None),
            lifted_at: Set(None),
        };
        let kept = Entity::insert(row).exec_with_returning(&tx).await?;
        enter(&tx, by, now, Entry::new("put", "hold", report_ref).after(json::row(kept))).await?;
        Ok(tx.commit().await?)
    }

    /// Lifts the hold that stands on a report.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where none stands; [`StoreError::Refused`] where no reason is given.
    pub async fn lift_hold(&self, by: &Actor, now: DateTime<Utc>, report_ref: &str, why: &str) -> Result<()> {
        let reason = reason_of(why)?;
        let tx = self.begin().await?;
        let before = standing(&tx, report_ref).await?;
        let before = before.ok_or_else(|| StoreError::missing("hold", report_ref))?;
        let mut row = before.clone().into_active_model();
        row.lifted_why = Set(Some(reason));
        row.lifted_by = Set(Some(named(by).0));
        row.lifted_at = Set(Some(moment(now)));
        let after = row.update(&tx).await?;
        let entry = Entry::new("lift", "hold", report_ref).before(json::row(before));
        enter(&tx, by, now, entry.after(json::row(after))).await?;
        Ok(tx.commit().await?)
    }

    /// Every hold there was on a report, the latest first.
    pub async fn holds_on(&self, report_ref: &str) -> Result<Vec<Hold>> {
        let of = Entity::find().filter(Column::ReportRef.eq(report_ref)).order_by_desc(Column::Id);
        Ok(of.all(self.reader()).await?.into_iter().map(hold_of).collect())
    }
}
