//! Modes that engineers added to the shipped catalogue.

use chrono::{DateTime, Utc};
use domain::catalogue::{Catalogue, Mode};
use domain::permission::Actor;
use sea_orm::ActiveValue::{NotSet, Set};
use sea_orm::QueryOrder as _;
use sea_orm::entity::prelude::*;

use crate::connect::Store;
use crate::error::{Result, StoreError};
use crate::journal::{Entry, enter, moment, named};
use crate::json;
use crate::read_back::Row;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "catalogue_mode")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub kind: String,
    pub kind_name: String,
    pub code: String,
    pub name: String,
    pub mechanism: String,
    pub how_found: String,
    pub usual_fix: String,
    pub test_methods: String,
    pub default_severity: String,
    pub field_words: String,
    pub added_by: String,
    pub added_at: DateTime<Utc>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

impl Store {
    /// The catalogue: what ships, and what was added here.
    pub async fn catalogue(&self) -> Result<Catalogue> {
        catalogue(self.reader()).await
    }

    /// Adds a mode, and its kind under `kind_name` where that is new.
    ///
    /// # Errors
    /// [`StoreError::Refused`] for a code that is there or doesn't fit its kind; [`StoreError::Taken`] where somebody added it
    /// at the same moment.
    pub async fn add_mode(&self, by: &Actor, now: DateTime<Utc>, kind_name: &str, mode: &Mode) -> Result<()> {
        let tx = self.begin().await?;
        catalogue(&tx).await?.add(kind_name, mode.clone())?;
        let row = ActiveModel {
            id: NotSet,
            kind: Set(mode.kind.clone()),
            kind_name: Set(kind_name.to_owned()),
            code: Set(mode.code.clone()),
            name: Set(mode.name.clone()),
            mechanism: Set(mode.mechanism.clone()),
            how_found: Set(mode.how_found.clone()),
            usual_fix: Set(mode.usual_fix.clone()),
            test_methods: Set(mode.test_methods.clone()),
            default_severity: Set(mode.default_severity.word().to_owned()),
            field_words: Set(mode.field_words.join("; ")),
            added_by: Set(named(by).0),
            added_at: Set(moment(now)),
        };
        let added = Entity::insert(row).exec_with_returning(&tx).await;
        let added = added.map_err(|error| StoreError::of_insert(error, "mode", &mode.code))?;
        enter(&tx, by, now, Entry::new("add", "mode", &mode.code).after(json::row(added))).await?;
        Ok(tx.commit().await?)
    }
}

async fn catalogue(db: &impl ConnectionTrait) -> Result<Catalogue> {
    let mut catalogue = Catalogue::shipped().clone();
    for row in Entity::find().order_by_asc(Column::Id).all(db).await? {
        let read = Row { table: "catalogue_mode", id: &row.id };
        let mode = Mode {
            default_severity: read.word("default_severity", &row.default_severity)?,
            kind: row.kind.clone(),
            code: row.code.clone(),
            name: row.name.clone(),
            mechanism: row.mechanism.clone(),
            how_found: row.how_found.clone(),
            usual_fix: row.usual_fix.clone(),
            test_methods: row.test_methods.clone(),
            field_words: row.field_words.split(';').map(|words| words.trim().to_owned()).collect(),
        };
        catalogue.add(&row.kind_name, mode).map_err(|_| read.corrupt("code"))?;
    }
    Ok(catalogue)
}
