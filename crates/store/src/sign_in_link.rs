//! One-time links that sign somebody in, kept by the digest of their token.

use chrono::{DateTime, Utc};
use domain::permission::Actor;
use sea_orm::ActiveValue::Set;
use sea_orm::IntoActiveModel as _;
use sea_orm::entity::prelude::*;

use crate::connect::Store;
use crate::error::{Result, StoreError};
use crate::journal::{Entry, enter, moment};
use crate::user;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "sign_in_link")]
pub(crate) struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub token_hash: String,
    pub user_id: i64,
    pub expires_at: DateTime<Utc>,
    pub used_at: Option<DateTime<Utc>>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

/// Ends every link of a person, used or not.
pub(crate) async fn end_all(db: &impl ConnectionTrait, user_id: i64) -> Result<()> {
    Entity::delete_many().filter(Column::UserId.eq(user_id)).exec(db).await?;
    Ok(())
}

async fn find_live(
    db: &impl ConnectionTrait,
    token_hash: &str,
    now: DateTime<Utc>,
) -> Result<Option<(Model, user::User)>> {
    let row = Entity::find_by_id(token_hash.to_owned())
        .filter(Column::UsedAt.is_null())
        .filter(Column::ExpiresAt.gt(moment(now)))
        .one(db)
        .await?;
    let Some(row) = row else { return Ok(None) };
    Ok(user::find_active(db, row.user_id).await?.map(|person| (row, person)))
}

impl Store {
    /// Makes a one-time link for somebody.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where nobody has the number, or they are retired.
    pub async fn add_sign_in_link(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        token_hash: &str,
        user_id: i64,
        until: DateTime<Utc>,
    ) -> Result<()> {
        let tx = self.begin().await?;
        let person = user::find_active(&tx, user_id).await?;
        let person = person.ok_or_else(|| StoreError::missing("user", user_id))?;
        let row = ActiveModel {
            token_hash: Set(token_hash.to_owned()),
            user_id: Set(user_id),
            expires_at: Set(moment(until)),
            used_at: Set(None),
        };
        Entity::insert(row).exec_without_returning(&tx).await?;
        enter(&tx, by, now, Entry::new("make", "sign-in link", &person.name)).await?;
        Ok(tx.commit().await?)
    }

    /// Who a link would let in, without using it up.
    pub async fn find_sign_in_link(&self, token_hash: &str, now: DateTime<Utc>) -> Result<Option<Actor>> {
        Ok(find_live(self.reader(), token_hash, now).await?.map(|(_, person)| person.actor()))
    }

    /// Uses a link up and gives the person's number; `None` where it is used, too old, or there is none.
    pub async fn use_sign_in_link(&self, token_hash: &str, now: DateTime<Utc>) -> Result<Option<i64>> {
        let tx = self.begin().await?;
        let Some((link, person)) = find_live(&tx, token_hash, now).await? else { return Ok(None) };
        let mut link = link.into_active_model();
        link.used_at = Set(Some(moment(now)));
        link.update(&tx).await?;
        enter(&tx, &person.actor(), now, Entry::new("use", "sign-in link", &person.name)).await?;
        tx.commit().await?;
        Ok(Some(person.id))
    }
}
