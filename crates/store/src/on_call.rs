//! Engineers on call: who is mailed at once when a report of danger arrives, and where.

use chrono::{DateTime, Utc};
use domain::mail_address::MailAddress;
use domain::permission::Actor;
use sea_orm::ActiveValue::{NotSet, Set};
use sea_orm::QueryOrder as _;
use sea_orm::entity::prelude::*;

use crate::connect::Store;
use crate::error::Result;
use crate::journal::{Entry, enter};
use crate::outbox::{self, MailWords};
use crate::{json, user};

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "on_call")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub user_id: i64,
    pub address: String,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

/// Everybody on call who is not retired: number and address.
async fn readers(db: &impl ConnectionTrait) -> Result<Vec<(i64, String)>> {
    let mut readers = Vec::new();
    for row in Entity::find().order_by_asc(Column::Id).all(db).await? {
        if user::find_active(db, row.user_id).await?.is_some() {
            readers.push((row.user_id, row.address));
        }
    }
    Ok(readers)
}

/// Mails an alarm to everybody on call, in the transaction of the report it tells of.
pub(crate) async fn call(
    db: &impl ConnectionTrait,
    now: DateTime<Utc>,
    report_ref: &str,
    alarm: &MailWords,
) -> Result<()> {
    let readers = readers(db).await?;
    outbox::put_for_each(db, (&Actor::Program, now), &format!("alarm {report_ref}"), readers, alarm).await
}

/// Where somebody is mailed; nothing where they are not on call.
pub(crate) async fn address_of(db: &impl ConnectionTrait, person: i64) -> Result<Option<String>> {
    let row = Entity::find().filter(Column::UserId.eq(person)).one(db).await?;
    Ok(row.map(|row| row.address))
}

async fn keep(
    db: &impl ConnectionTrait,
    (by, now): (&Actor, DateTime<Utc>),
    act: &str,
    person: i64,
    address: Option<&str>,
) -> Result<()> {
    let name = user::need(db, person).await?.name;
    let before = Entity::find().filter(Column::UserId.eq(person)).one(db).await?;
    Entity::delete_many().filter(Column::UserId.eq(person)).exec(db).await?;
    let mut entry = Entry::new(act, "on call", &name);
    entry.before = before.map(json::row);
    if let Some(address) = address {
        let row = ActiveModel { id: NotSet, user_id: Set(person), address: Set(address.to_owned()) };
        entry.after = Some(json::row(Entity::insert(row).exec_with_returning(db).await?));
    }
    enter(db, by, now, entry).await?;
    Ok(())
}

/// Calls the successor instead; one who is on call already stays so at their own address.
pub(crate) async fn pass(
    db: &impl ConnectionTrait,
    at: (&Actor, DateTime<Utc>),
    (from, to): (i64, i64),
    address: &str,
) -> Result<()> {
    keep(db, at, "pass on", from, None).await?;
    if address_of(db, to).await?.is_none() {
        keep(db, at, "pass on", to, Some(address)).await?;
    }
    Ok(())
}

impl Store {
    /// Calls somebody from now on when a report of danger arrives, or no more where there is no address.
    ///
    /// # Errors
    /// [`crate::StoreError::Missing`] where nobody has the number.
    pub async fn set_on_call(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        person: i64,
        address: Option<&MailAddress>,
    ) -> Result<()> {
        let tx = self.begin().await?;
        keep(&tx, (by, now), "set", person, address.map(MailAddress::as_str)).await?;
        Ok(tx.commit().await?)
    }

    /// Everybody on call who is not retired: number and address.
    pub async fn on_call(&self) -> Result<Vec<(i64, String)>> {
        readers(self.reader()).await
    }
}
