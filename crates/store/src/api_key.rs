//! Keys of other programs, each bound to a role or a unit and kept by the digest of its token.

use chrono::{DateTime, Utc};
use domain::permission::{Actor, Role};
use sea_orm::ActiveValue::Set;
use sea_orm::entity::prelude::*;
use sea_orm::{IntoActiveModel as _, QueryOrder as _};

use crate::connect::Store;
use crate::error::{Result, StoreError};
use crate::journal::{Entry, enter, moment, named};
use crate::read_back::Row;
use crate::unit;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "api_key")]
pub(crate) struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub token_hash: String,
    pub label: String,
    pub role: String,
    pub unit: Option<String>,
    pub made_by: String,
    pub made_at: DateTime<Utc>,
    pub revoked_at: Option<DateTime<Utc>>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

/// A key to be made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewApiKey {
    /// The digest of its token.
    pub token_hash: String,
    /// What it is for, in words.
    pub label: String,
    /// The role whose reading and reporting it may do.
    pub role: Role,
    /// The unit it reports for, on the key of a unit.
    pub unit: Option<String>,
}

/// A key that was made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ApiKey {
    /// The digest of its token, by which it is revoked.
    pub token_hash: String,
    /// What it is for, in words.
    pub label: String,
    /// The role whose reading and reporting it may do.
    pub role: Role,
    /// The unit it reports for, on the key of a unit.
    pub unit: Option<String>,
    /// Who made it.
    pub made_by: String,
    /// When it was made.
    pub made_at: DateTime<Utc>,
    /// Since when it opens nothing any more.
    pub revoked_at: Option<DateTime<Utc>>,
}

fn key_of(row: Model) -> Result<ApiKey> {
    let role = Row { table: "api_key", id: &row.label }.word("role", &row.role)?;
    let Model { token_hash, label, unit, made_by, made_at, revoked_at, .. } = row;
    Ok(ApiKey { token_hash, label, role, unit, made_by, made_at, revoked_at })
}

impl Store {
    /// Makes a key.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where there is no such unit.
    pub async fn add_api_key(&self, by: &Actor, now: DateTime<Utc>, key: &NewApiKey) -> Result<()> {
        let tx = self.begin().await?;
        if let Some(unit) = &key.unit {
            unit::need(&tx, unit).await?;
        }
        let row = ActiveModel {
            token_hash: Set(key.token_hash.clone()),
            label: Set(key.label.clone()),
            role: Set(key.role.word().to_owned()),
            unit: Set(key.unit.clone()),
            made_by: Set(named(by).0),
            made_at: Set(moment(now)),
            revoked_at: Set(None),
        };
        Entity::insert(row).exec_without_returning(&tx).await?;
        enter(&tx, by, now, Entry::new("make", "api key", &key.label)).await?;
        Ok(tx.commit().await?)
    }

    /// All keys, latest first.
    pub async fn list_api_keys(&self) -> Result<Vec<ApiKey>> {
        let rows = Entity::find().order_by_desc(Column::MadeAt).all(self.reader()).await?;
        rows.into_iter().map(key_of).collect()
    }

    /// As whom the program behind a digest acts, unless the key was revoked.
    pub async fn find_api_key(&self, token_hash: &str) -> Result<Option<Actor>> {
        let row = Entity::find_by_id(token_hash.to_owned())
            .filter(Column::RevokedAt.is_null())
            .one(self.reader())
            .await?;
        let key = row.map(key_of).transpose()?;
        Ok(key.map(|ApiKey { label, role, unit, .. }| Actor::Key { purpose: label, role, unit }))
    }

    /// Revokes a key; one that was revoked before stays so.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where there is no such key.
    pub async fn revoke_api_key(&self, by: &Actor, now: DateTime<Utc>, token_hash: &str) -> Result<()> {
        let tx = self.begin().await?;
        let row = Entity::find_by_id(token_hash.to_owned()).one(&tx).await?;
        let row = row.ok_or_else(|| StoreError::missing("api key", "of this digest"))?;
        if row.revoked_at.is_some() {
            return Ok(());
        }
        let label = row.label.clone();
        let mut row = row.into_active_model();
        row.revoked_at = Set(Some(moment(now)));
        row.update(&tx).await?;
        enter(&tx, by, now, Entry::new("revoke", "api key", &label)).await?;
        Ok(tx.commit().await?)
    }
}
