//! Who gets the weekly digest, and where.

use chrono::{DateTime, Utc};
use domain::mail_address::MailAddress;
use domain::permission::Actor;
use domain::words::Problem;
use sea_orm::ActiveValue::{NotSet, Set};
use sea_orm::entity::prelude::*;

use crate::address_list::{self, AddressList};
use crate::connect::Store;
use crate::error::Result;

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

impl AddressList for Entity {
    const NOUN: &'static str = "digest reader";
    const ID: Column = Column::Id;
    const USER_ID: Column = Column::UserId;

    fn new_row(person: i64, address: &str) -> ActiveModel {
        ActiveModel { id: NotSet, user_id: Set(person), address: Set(address.to_owned()) }
    }

    fn parts(row: Model) -> (i64, String) {
        (row.user_id, row.address)
    }
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
        address_list::keep::<Entity>(&tx, (by, now), "set", person, address).await?;
        Ok(tx.commit().await?)
    }

    /// Everybody who gets the digest and is not retired: number and address.
    pub async fn digest_readers(&self) -> Result<Vec<(i64, String)>> {
        address_list::readers::<Entity>(self.reader()).await
    }
}
