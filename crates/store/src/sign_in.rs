//! Sign-ins that last: the digest of a token, the person, and an end.

use chrono::{DateTime, TimeDelta, Utc};
use domain::permission::Actor;
use sea_orm::ActiveValue::Set;
use sea_orm::entity::prelude::*;
use sea_orm::sea_query::Expr;

use crate::connect::Store;
use crate::error::{Result, StoreError};
use crate::journal::{Entry, enter, moment};
use crate::user::{self, User};

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "sign_in")]
pub(crate) struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub token_hash: String,
    pub user_id: i64,
    pub created_at: DateTime<Utc>,
    pub expires_at: DateTime<Utc>,
    /// Whether it began with a one-time link.
    pub by_link: bool,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

/// How far use must move the end of a sign-in before that is written, so that few readers wait for a writer.
const WORTH_WRITING: TimeDelta = TimeDelta::minutes(5);

/// Ends every sign-in of a person.
pub(crate) async fn end_all(db: &impl ConnectionTrait, user_id: i64) -> Result<()> {
    Entity::delete_many().filter(Column::UserId.eq(user_id)).exec(db).await?;
    Ok(())
}

/// Writes a sign-in and its journal entry, and clears away those that have ended by themselves.
pub(crate) async fn start(
    db: &impl ConnectionTrait,
    now: DateTime<Utc>,
    (token_hash, by_link): (&str, bool),
    person: &User,
    until: DateTime<Utc>,
) -> Result<()> {
    Entity::delete_many().filter(Column::ExpiresAt.lte(moment(now))).exec(db).await?;
    let row = ActiveModel {
        token_hash: Set(token_hash.to_owned()),
        user_id: Set(person.id),
        created_at: Set(moment(now)),
        expires_at: Set(moment(until)),
        by_link: Set(by_link),
    };
    Entity::insert(row).exec_without_returning(db).await?;
    enter(db, &person.actor(), now, Entry::new("sign in", "sign-in", &person.name)).await?;
    Ok(())
}

impl Store {
    /// Signs somebody in under the digest of a new token.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where nobody has the number, or they are retired.
    pub async fn add_sign_in(
        &self,
        now: DateTime<Utc>,
        token_hash: &str,
        user_id: i64,
        until: DateTime<Utc>,
    ) -> Result<()> {
        self.sign_in(now, (token_hash, false), user_id, until).await
    }

    /// The same for whoever has just used a one-time link up.
    ///
    /// # Errors
    /// As [`Store::add_sign_in`].
    pub async fn add_sign_in_by_link(
        &self,
        now: DateTime<Utc>,
        token_hash: &str,
        user_id: i64,
        until: DateTime<Utc>,
    ) -> Result<()> {
        self.sign_in(now, (token_hash, true), user_id, until).await
    }

    async fn sign_in(
        &self,
        now: DateTime<Utc>,
        token: (&str, bool),
        user_id: i64,
        until: DateTime<Utc>,
    ) -> Result<()> {
        let tx = self.begin().await?;
        let person = user::find_active(&tx, user_id).await?;
        let person = person.ok_or_else(|| StoreError::missing("user", user_id))?;
        start(&tx, now, token, &person, until).await?;
        Ok(tx.commit().await?)
    }

    /// Who is signed in under a digest, while it lasts and they are not retired.
    pub async fn find_sign_in(&self, token_hash: &str, now: DateTime<Utc>) -> Result<Option<Actor>> {
        Ok(self.lasting(token_hash, now).await?.map(|(_, who)| who))
    }

    /// The same of a sign-in that is being used: it ends so long after this use as it lasts unused, but not later after its
    /// beginning than at most.
    pub async fn use_sign_in(
        &self,
        token_hash: &str,
        now: DateTime<Utc>,
        (unused, at_most): (TimeDelta, TimeDelta),
    ) -> Result<Option<Actor>> {
        let Some((row, who)) = self.lasting(token_hash, now).await? else { return Ok(None) };
        let until = (now + unused).min(row.created_at + at_most);
        if until - row.expires_at >= WORTH_WRITING
            && let Err(error) = self.renew_sign_in(token_hash, until).await
        {
            // Whoever reads is signed in all the same; the next use tries again.
            tracing::warn!(%error, "a sign-in was not renewed");
        }
        Ok(Some(who))
    }

    async fn lasting(&self, token_hash: &str, now: DateTime<Utc>) -> Result<Option<(Model, Actor)>> {
        let row = Entity::find_by_id(token_hash.to_owned())
            .filter(Column::ExpiresAt.gt(moment(now)))
            .one(self.reader())
            .await?;
        let Some(row) = row else { return Ok(None) };
        let person = user::find_active(self.reader(), row.user_id).await?;
        Ok(person.map(|person| (row, person.actor())))
    }

    async fn renew_sign_in(&self, token_hash: &str, until: DateTime<Utc>) -> Result<()> {
        let tx = self.begin().await?;
        // Whoever has signed out meanwhile has no row, and gets none.
        Entity::update_many()
            .col_expr(Column::ExpiresAt, Expr::value(moment(until)))
            .filter(Column::TokenHash.eq(token_hash))
            .exec(&tx)
            .await?;
        Ok(tx.commit().await?)
    }

    /// Whether the sign-in under a digest began with a one-time link since a moment. Setting a password ends it.
    pub async fn came_by_link(&self, token_hash: &str, since: DateTime<Utc>) -> Result<bool> {
        let row = Entity::find_by_id(token_hash.to_owned())
            .filter(Column::ByLink.eq(true))
            .filter(Column::CreatedAt.gte(moment(since)))
            .one(self.reader())
            .await?;
        Ok(row.is_some())
    }

    /// Signs out; nothing happens where nobody is signed in under the digest.
    pub async fn end_sign_in(&self, by: &Actor, now: DateTime<Utc>, token_hash: &str) -> Result<()> {
        let tx = self.begin().await?;
        let Some(row) = Entity::find_by_id(token_hash.to_owned()).one(&tx).await? else { return Ok(()) };
        Entity::delete_by_id(token_hash.to_owned()).exec(&tx).await?;
        enter(&tx, by, now, Entry::new("sign out", "sign-in", &row.user_id.to_string())).await?;
        Ok(tx.commit().await?)
    }
}
