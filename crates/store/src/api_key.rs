//! Keys of programs that act for a person, kept by the digest of their token.

use chrono::{DateTime, Utc};
use domain::permission::Actor;
use sea_orm::ActiveValue::Set;
use sea_orm::entity::prelude::*;
use sea_orm::{IntoActiveModel as _, QueryOrder as _};

use crate::connect::Store;
use crate::error::{Result, StoreError};
use crate::journal::{Entry, enter, moment};
use crate::user;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "api_key")]
pub(crate) struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub token_hash: String,
    pub user_id: i64,
    pub label: String,
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
    /// The person it acts for.
    pub user_id: i64,
    /// What it is for, in words.
    pub label: String,
}

/// A key that was made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ApiKey {
    /// The digest of its token, by which it is revoked.
    pub token_hash: String,
    /// The person it acts for.
    pub user_id: i64,
    /// What it is for, in words.
    pub label: String,
    /// When it was made.
    pub made_at: DateTime<Utc>,
    /// Since when it opens nothing any more.
    pub revoked_at: Option<DateTime<Utc>>,
}

fn key_of(row: Model) -> ApiKey {
    let Model { token_hash, user_id, label, made_at, revoked_at } = row;
    ApiKey { token_hash, user_id, label, made_at, revoked_at }
}

impl Store {
    /// Makes a key.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where nobody has the number, or they are retired.
    pub async fn add_api_key(&self, by: &Actor, now: DateTime<Utc>, key: &NewApiKey) -> Result<()> {
        let tx = self.begin().await?;
        let person = user::find_active(&tx, key.user_id).await?;
        let person = person.ok_or_else(|| StoreError::missing("user", key.user_id))?;
        let row = ActiveModel {
            token_hash: Set(key.token_hash.clone()),
            user_id: Set(key.user_id),
            label: Set(key.label.clone()),
            made_at: Set(moment(now)),
            revoked_at: Set(None),
        };
        Entity::insert(row).exec_without_returning(&tx).await?;
        enter(&tx, by, now, Entry::new("make", "api key", &person.name)).await?;
        Ok(tx.commit().await?)
    }

    /// All keys, latest first.
    pub async fn list_api_keys(&self) -> Result<Vec<ApiKey>> {
        let rows = Entity::find().order_by_desc(Column::MadeAt).all(self.reader()).await?;
        Ok(rows.into_iter().map(key_of).collect())
    }

    /// Whom the program behind a digest acts for, unless the key was revoked or the person retired.
    pub async fn find_api_key(&self, token_hash: &str) -> Result<Option<Actor>> {
        let row = Entity::find_by_id(token_hash.to_owned())
            .filter(Column::RevokedAt.is_null())
            .one(self.reader())
            .await?;
        let Some(row) = row else { return Ok(None) };
        Ok(user::find_active(self.reader(), row.user_id).await?.map(|person| person.actor()))
    }

    /// Revokes a key.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where there is no such key.
    pub async fn revoke_api_key(&self, by: &Actor, now: DateTime<Utc>, token_hash: &str) -> Result<()> {
        let tx = self.begin().await?;
        let row = Entity::find_by_id(token_hash.to_owned()).one(&tx).await?;
        let row = row.ok_or_else(|| StoreError::missing("api key", "of this digest"))?;
        let label = row.label.clone();
        let mut row = row.into_active_model();
        row.revoked_at = Set(Some(moment(now)));
        row.update(&tx).await?;
        enter(&tx, by, now, Entry::new("revoke", "api key", &label)).await?;
        Ok(tx.commit().await?)
    }
}
