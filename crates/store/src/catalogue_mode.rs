//! Modes that engineers added to the shipped catalogue.

use chrono::{DateTime, Utc};
use domain::catalogue::{Catalogue, Mode};
use domain::permission::Actor;
use sea_orm::entity::prelude::*;

use crate::connect::Store;
use crate::error::Result;
use crate::identity::Twins;
use crate::insert::insert_live;
use crate::journal::{Entry, enter};
use crate::json;
use crate::read_back::Row;
use crate::stored::{Stored, list};

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
    pub import_id: Option<i64>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

impl Stored for Entity {
    type Noun = Mode;
    const KEY: &'static [&'static str] = &["code"];

    fn model(mode: &Mode, import_id: Option<i64>, _twins: &mut Twins) -> Model {
        Model {
            id: 0,
            kind: mode.kind.clone(),
            kind_name: mode.kind_name.clone(),
            code: mode.code.clone(),
            name: mode.name.clone(),
            mechanism: mode.mechanism.clone(),
            how_found: mode.how_found.clone(),
            usual_fix: mode.usual_fix.clone(),
            test_methods: mode.test_methods.clone(),
            default_severity: mode.default_severity.word().to_owned(),
            field_words: mode.field_words.join("; "),
            import_id,
        }
    }

    fn noun(row: Model) -> Result<Mode> {
        let read = Row { table: "catalogue_mode", id: &row.id };
        let default_severity = read.word("default_severity", &row.default_severity)?;
        let phrases = row.field_words.split(';').map(str::trim).filter(|phrase| !phrase.is_empty());
        let field_words = phrases.map(str::to_owned).collect();
        Ok(Mode {
            kind: row.kind,
            kind_name: row.kind_name,
            code: row.code,
            name: row.name,
            mechanism: row.mechanism,
            how_found: row.how_found,
            usual_fix: row.usual_fix,
            test_methods: row.test_methods,
            default_severity,
            field_words,
        })
    }
}

impl Store {
    /// The catalogue: what ships, and what was added here.
    pub async fn catalogue(&self) -> Result<Catalogue> {
        catalogue(self.reader()).await
    }

    /// Adds a mode, and its kind where that is new.
    ///
    /// # Errors
    /// [`StoreError::Refused`](crate::StoreError::Refused) for a code that is there or doesn't fit its kind;
    /// [`StoreError::Taken`](crate::StoreError::Taken) where somebody added it at the same moment.
    pub async fn add_mode(&self, by: &Actor, now: DateTime<Utc>, mode: &Mode) -> Result<()> {
        let tx = self.begin().await?;
        let mut known = catalogue(&tx).await?;
        known.add(mode.clone())?;
        // As the catalogue took it, with the name of its kind: no row needs another one to be read.
        let mode = known.mode(&mode.code).unwrap_or(mode);
        let row = Entity::model(mode, None, &mut Twins::default());
        insert_live::<Entity>(&tx, row.clone(), "mode", &mode.code).await?;
        enter(&tx, by, now, Entry::new("add", "mode", &mode.code).after(json::row(row))).await?;
        Ok(tx.commit().await?)
    }
}

/// What ships, and what anybody may see of what was added. A mode that doesn't fit, such as one whose code a later edition
/// ships, is left out and told: no row shuts the books.
pub(crate) async fn catalogue(db: &impl ConnectionTrait) -> Result<Catalogue> {
    let mut catalogue = Catalogue::shipped().clone();
    for mode in list::<Entity>(db).await? {
        let code = mode.code.clone();
        if let Err(problem) = catalogue.add(mode) {
            tracing::warn!("mode {code} is left out of the catalogue: {problem}");
        }
    }
    Ok(catalogue)
}
