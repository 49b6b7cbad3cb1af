//! Secret links by which a unit sends reports and reads its own, kept by the digest of their token.

use std::collections::HashMap;

use chrono::{DateTime, Utc};
use domain::permission::Actor;
use sea_orm::ActiveValue::{NotSet, Set};
use sea_orm::entity::prelude::*;
use sea_orm::{IntoActiveModel as _, QueryOrder as _, QuerySelect as _, QueryTrait as _};

use crate::connect::Store;
use crate::error::{Result, StoreError};
use crate::journal::{Entry, enter, moment, named};
use crate::{intake, json};

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "unit_link")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub unit: String,
    pub token_hash: String,
    pub label: String,
    pub made_by: String,
    pub made_at: DateTime<Utc>,
    pub revoked_at: Option<DateTime<Utc>>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

/// A link to be made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewUnitLink {
    /// The unit it is for.
    pub unit: String,
    /// The digest of its token.
    pub token_hash: String,
    /// Where it hangs, in words.
    pub label: String,
}

/// A link that was made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnitLink {
    /// The store's number.
    pub id: i64,
    /// The unit it is for.
    pub unit: String,
    /// Where it hangs, in words.
    pub label: String,
    /// Who made it.
    pub made_by: String,
    /// When.
    pub made_at: DateTime<Utc>,
    /// Since when it opens nothing any more.
    pub revoked_at: Option<DateTime<Utc>>,
}

fn link_of(row: Model) -> UnitLink {
    let Model { id, unit, label, made_by, made_at, revoked_at, .. } = row;
    UnitLink { id, unit, label, made_by, made_at, revoked_at }
}

impl Store {
    /// Makes a link and gives its number.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where there is no such unit.
    pub async fn add_unit_link(&self, by: &Actor, now: DateTime<Utc>, link: &NewUnitLink) -> Result<i64> {
        let tx = self.begin().await?;
        crate::unit::need(&tx, &link.unit).await?;
        let row = ActiveModel {
            id: NotSet,
            unit: Set(link.unit.clone()),
            token_hash: Set(link.token_hash.clone()),
            label: Set(link.label.clone()),
            made_by: Set(named(by).0),
            made_at: Set(moment(now)),
            revoked_at: Set(None),
        };
        let added = Entity::insert(row).exec_with_returning(&tx).await?;
        let id = added.id;
        enter(&tx, by, now, Entry::new("make", "unit link", &link.unit).after(json::row(added))).await?;
        tx.commit().await?;
        Ok(id)
    }

    /// Links of one unit, or of all, latest first.
    pub async fn list_unit_links(&self, unit: Option<&str>) -> Result<Vec<UnitLink>> {
        let mut select = Entity::find().order_by_desc(Column::Id);
        if let Some(unit) = unit {
            select = select.filter(Column::Unit.eq(unit));
        }
        Ok(select.all(self.reader()).await?.into_iter().map(link_of).collect())
    }

    /// When a report last came through each link of a unit; a link that brought none is missing. What other units sent is
    /// not read.
    pub async fn last_reports_of_unit(&self, unit: &str) -> Result<HashMap<i64, DateTime<Utc>>> {
        let own = Entity::find().filter(Column::Unit.eq(unit)).select_only().column(Column::Id).into_query();
        let rows = intake::Entity::find()
            .select_only()
            .column(intake::Column::UnitLinkId)
            .column_as(intake::Column::SentAt.max(), "last")
            .filter(intake::Column::UnitLinkId.in_subquery(own))
            .group_by(intake::Column::UnitLinkId)
            .into_tuple::<(i64, DateTime<Utc>)>();
        Ok(rows.all(self.reader()).await?.into_iter().collect())
    }

    /// The link behind the digest of a token, unless it was revoked.
    pub async fn find_unit_link(&self, token_hash: &str) -> Result<Option<UnitLink>> {
        let row = Entity::find()
            .filter(Column::TokenHash.eq(token_hash))
            .filter(Column::RevokedAt.is_null())
            .one(self.reader())
            .await?;
        Ok(row.map(link_of))
    }

    /// Revokes a link: it opens nothing any more.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where there is no such link.
    pub async fn revoke_unit_link(&self, by: &Actor, now: DateTime<Utc>, id: i64) -> Result<()> {
        let tx = self.begin().await?;
        let before = Entity::find_by_id(id).one(&tx).await?;
        let before = before.ok_or_else(|| StoreError::missing("unit link", id))?;
        if before.revoked_at.is_some() {
            return Ok(());
        }
        let mut row = before.clone().into_active_model();
        row.revoked_at = Set(Some(moment(now)));
        let after = row.update(&tx).await?;
        let unit = after.unit.clone();
        let entry =
            Entry::new("revoke", "unit link", &unit).before(json::row(before)).after(json::row(after));
        enter(&tx, by, now, entry).await?;
        Ok(tx.commit().await?)
    }
}
