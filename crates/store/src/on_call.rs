//! Engineers on call: who is mailed at once when a report of danger arrives, and where.

use chrono::{DateTime, Utc};
use domain::mail_address::MailAddress;
use domain::permission::Actor;
use sea_orm::ActiveValue::{NotSet, Set};
use sea_orm::entity::prelude::*;

use crate::address_list::{self, AddressList};
use crate::connect::Store;
use crate::error::Result;
use crate::outbox::{self, MailWords};

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

impl AddressList for Entity {
    const NOUN: &'static str = "on call";
    const ID: Column = Column::Id;
    const USER_ID: Column = Column::UserId;

    fn new_row(person: i64, address: &str) -> ActiveModel {
        ActiveModel { id: NotSet, user_id: Set(person), address: Set(address.to_owned()) }
    }

    fn parts(row: Model) -> (i64, String) {
        (row.user_id, row.address)
    }
}

/// Mails an alarm to everybody on call, in the transaction of the report it tells of.
pub(crate) async fn call(
    db: &impl ConnectionTrait,
    now: DateTime<Utc>,
    report_ref: &str,
    alarm: &MailWords,
) -> Result<()> {
    let readers = address_list::readers::<Entity>(db).await?;
    let key = format!("{}{report_ref}", outbox::ALARM);
    outbox::put_for_each(db, (&Actor::Program, now), &key, readers, alarm).await
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
        let address = address.map(MailAddress::as_str);
        address_list::keep::<Entity>(&tx, (by, now), "set", person, address).await?;
        Ok(tx.commit().await?)
    }

    /// Everybody on call who is not retired: number and address.
    pub async fn on_call(&self) -> Result<Vec<(i64, String)>> {
        address_list::readers::<Entity>(self.reader()).await
    }
}
