//! The secrets in mails to a reporter, of which only digests are kept: one opens the receipt, the other stops the mail.

use chrono::{DateTime, Utc};
use domain::permission::Actor;
use sea_orm::entity::prelude::*;

use crate::connect::Store;
use crate::error::Result;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "contact_link")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub contact_id: i64,
    pub follow_hash: String,
    pub stop_hash: String,
    pub made_at: DateTime<Utc>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

/// The report whose receipt a secret of a mail opens.
pub(crate) async fn followed(db: &impl ConnectionTrait, follow_hash: &str) -> Result<Option<String>> {
    let Some(link) = Entity::find().filter(Column::FollowHash.eq(follow_hash)).one(db).await? else {
        return Ok(None);
    };
    Ok(super::Entity::find_by_id(link.contact_id).one(db).await?.map(|row| row.report_ref))
}

/// The address that a secret of a mail stops.
async fn stopped(db: &impl ConnectionTrait, stop_hash: &str) -> Result<Option<super::Model>> {
    let Some(link) = Entity::find().filter(Column::StopHash.eq(stop_hash)).one(db).await? else {
        return Ok(None);
    };
    Ok(super::Entity::find_by_id(link.contact_id).one(db).await?)
}

impl Store {
    /// Whether a secret stops mail, and if so whether it is stopped already.
    pub async fn find_stop(&self, stop_hash: &str) -> Result<Option<bool>> {
        let found = stopped(self.reader(), stop_hash).await?;
        Ok(found.map(|row| row.stopped_at.is_some()))
    }

    /// Stops mail to the address whose mail held a secret, with every report it came with. Says `false` where the secret
    /// stops nothing; stopping what is stopped changes nothing.
    pub async fn stop_by_link(&self, now: DateTime<Utc>, stop_hash: &str) -> Result<bool> {
        let tx = self.begin().await?;
        let Some(of) = stopped(&tx, stop_hash).await? else { return Ok(false) };
        let rows = super::Entity::find().filter(super::Column::Address.eq(&of.address)).all(&tx).await?;
        super::stop(&tx, &Actor::Anybody, now, rows, "stopped by its reader").await?;
        crate::outbox::blank_unsent(&tx, &of.address).await?;
        tx.commit().await?;
        Ok(true)
    }
}
