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
use crate::outbox::{self, NewMail};
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

/// What engineers on call are told of a report of danger.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Alarm {
    /// Its subject.
    pub subject: String,
    /// Its words as plain text.
    pub text: String,
    /// ... and as a page.
    pub html: String,
}

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
    alarm: &Alarm,
) -> Result<()> {
    for (id, to) in readers(db).await? {
        let Alarm { subject, text, html } = alarm.clone();
        let key = format!("alarm {report_ref} {id}");
        let mail = NewMail { key, to, subject, text, html, is_personal: false, stop_url: None };
        outbox::put(db, &Actor::Program, now, &mail).await?;
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
        let name = user::need(&tx, person).await?.name;
        let before = Entity::find().filter(Column::UserId.eq(person)).one(&tx).await?;
        Entity::delete_many().filter(Column::UserId.eq(person)).exec(&tx).await?;
        let mut entry = Entry::new("set", "on call", &name);
        entry.before = before.map(json::row);
        if let Some(address) = address {
            let row =
                ActiveModel { id: NotSet, user_id: Set(person), address: Set(address.as_str().to_owned()) };
            entry.after = Some(json::row(Entity::insert(row).exec_with_returning(&tx).await?));
        }
        enter(&tx, by, now, entry).await?;
        Ok(tx.commit().await?)
    }

    /// Everybody on call who is not retired: number and address.
    pub async fn on_call(&self) -> Result<Vec<(i64, String)>> {
        readers(self.reader()).await
    }
}
