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
        let name = user::need(&tx, person).await?.name;
        let before = Entity::find().filter(Column::UserId.eq(person)).one(&tx).await?;
        Entity::delete_many().filter(Column::UserId.eq(person)).exec(&tx).await?;
        let mut entry = Entry::new("set", "digest reader", &name);
        entry.before = before.map(json::row);
        if let Some(address) = address {
            let row = ActiveModel { id: NotSet, user_id: Set(person), address: Set(address.to_owned()) };
            entry.after = Some(json::row(Entity::insert(row).exec_with_returning(&tx).await?));
        }
        enter(&tx, by, now, entry).await?;
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
