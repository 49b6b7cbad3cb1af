//! Who gets the weekly digest, and where.

use chrono::{DateTime, Utc};
use domain::mail_address::MailAddress;
use domain::permission::Actor;
use domain::words::Problem;
use sea_orm::ActiveValue::{NotSet, Set};
use sea_orm::QueryOrder as _;
use sea_orm::entity::prelude::*;

use crate::connect::Store;
use crate::error::Result;
use crate::journal::{Entry, enter};
use crate::{json, user};

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "digest_reader")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub user_id: i64,
    pub address: String,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

/// Where somebody is mailed the digest; nothing where they are not.
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
    let mut entry = Entry::new(act, "digest reader", &name);
    entry.before = before.map(json::row);
    if let Some(address) = address {
        let row = ActiveModel { id: NotSet, user_id: Set(person), address: Set(address.to_owned()) };
        entry.after = Some(json::row(Entity::insert(row).exec_with_returning(db).await?));
    }
    enter(db, by, now, entry).await?;
    Ok(())
}

/// Sends the digest to the successor instead; one who gets it already gets it at their own address.
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
    /// Sends somebody the digest from now on, or no more where there is no address.
    ///
    /// # Errors
    /// [`crate::StoreError::Refused`] for what is no address; [`crate::StoreError::Missing`] where nobody has the number.
    pub async fn set_digest_address(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        person: i64,
        address: Option<&str>,
    ) -> Result<()> {
        if address.is_some_and(|address| MailAddress::parse(address).is_err()) {
            return Err(Problem::new("address", "expected an address such as name@rescue.example").into());
        }
        let tx = self.begin().await?;
        keep(&tx, (by, now), "set", person, address).await?;
        Ok(tx.commit().await?)
    }

    /// Everybody who gets the digest and is not retired: number and address.
    pub async fn digest_readers(&self) -> Result<Vec<(i64, String)>> {
        let mut readers = Vec::new();
        for row in Entity::find().order_by_asc(Column::Id).all(self.reader()).await? {
            if user::find_active(self.reader(), row.user_id).await?.is_some() {
                readers.push((row.user_id, row.address));
            }
        }
        Ok(readers)
    }
}
