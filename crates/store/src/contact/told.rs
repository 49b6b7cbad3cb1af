//! What reporters were told by mail, so that nothing is told twice.

use std::collections::{BTreeSet, HashMap};

use chrono::{DateTime, Utc};
use domain::language::Language;
use domain::permission::Actor;
use sea_orm::ActiveValue::{NotSet, Set};
use sea_orm::QueryOrder as _;
use sea_orm::entity::prelude::*;
use sea_orm::sea_query::OnConflict;

use super::link;
use crate::connect::Store;
use crate::error::Result;
use crate::journal::{Entry, enter, moment};
use crate::outbox::{self, NewMail};

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "contact_told")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub contact_id: i64,
    pub news: String,
    pub told_at: DateTime<Utc>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

/// Somebody who may be told something about a report.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ToTell {
    /// The store's number.
    pub id: i64,
    /// The report.
    pub report_ref: String,
    /// Where to.
    pub address: String,
    /// In which language.
    pub language: Language,
    /// What was told already, by the keys of news.
    pub told: BTreeSet<String>,
}

/// What one mail tells of one report.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Told {
    /// The store's number of the contact.
    pub contact: i64,
    /// Keys of the news.
    pub news: Vec<String>,
    /// The digest of the secret that opens the receipt.
    pub follow_hash: String,
    /// The digest of the secret that stops the mail.
    pub stop_hash: String,
}

impl Store {
    /// Everybody who gave an address and hasn't stopped the mail, by address.
    pub async fn contacts_to_tell(&self) -> Result<Vec<ToTell>> {
        let snapshot = self.snapshot().await?;
        let rows = super::Entity::find()
            .filter(super::Column::StoppedAt.is_null())
            .order_by_asc(super::Column::Address)
            .order_by_asc(super::Column::Id)
            .all(&snapshot)
            .await?;
        let mut told: HashMap<i64, BTreeSet<String>> = HashMap::new();
        for row in Entity::find().all(&snapshot).await? {
            told.entry(row.contact_id).or_default().insert(row.news);
        }
        let to_tell = |row: super::Model| {
            Ok(ToTell {
                told: told.remove(&row.id).unwrap_or_default(),
                id: row.id,
                language: super::language_of(&row)?,
                report_ref: row.report_ref,
                address: row.address,
            })
        };
        rows.into_iter().map(to_tell).collect()
    }

    /// Puts one mail to a reporter into the outbox, with what it tells and the digests of the secrets in it. Says `false`
    /// where a mail of its key is there already; nothing is kept then.
    pub async fn tell(&self, now: DateTime<Utc>, mail: &NewMail, told: &[Told]) -> Result<bool> {
        let tx = self.begin().await?;
        if !outbox::put(&tx, &Actor::Program, now, mail).await? {
            return Ok(false);
        }
        for one in told {
            let Some(row) = super::Entity::find_by_id(one.contact).one(&tx).await? else { continue };
            let link = link::ActiveModel {
                id: NotSet,
                contact_id: Set(one.contact),
                follow_hash: Set(one.follow_hash.clone()),
                stop_hash: Set(one.stop_hash.clone()),
                made_at: Set(moment(now)),
            };
            link::Entity::insert(link).exec_without_returning(&tx).await?;
            for news in &one.news {
                let told = ActiveModel {
                    id: NotSet,
                    contact_id: Set(one.contact),
                    news: Set(news.clone()),
                    told_at: Set(moment(now)),
                };
                let twice = OnConflict::columns([Column::ContactId, Column::News]).do_nothing().to_owned();
                Entity::insert(told).on_conflict(twice).exec_without_returning(&tx).await?;
            }
            let entry = Entry::new("tell", super::NOUN, &row.report_ref);
            enter(&tx, &Actor::Program, now, entry.after(serde_json::json!({ "news": one.news }))).await?;
        }
        tx.commit().await?;
        Ok(true)
    }
}
