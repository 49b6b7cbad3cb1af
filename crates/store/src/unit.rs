//! Units: who holds, wears, stores or repairs items.

use chrono::{DateTime, Utc};
use domain::permission::Actor;
use domain::unit::Unit;
use sea_orm::entity::prelude::*;
use sea_orm::{Condition, QuerySelect as _};

use crate::connect::Store;
use crate::error::{Result, StoreError};
use crate::identity::Twins;
use crate::insert::insert_live;
use crate::journal::{Entry, enter};
use crate::json;
use crate::page::{Page, contains};
use crate::read_back::{Row, filled};
use crate::stored::{Stored, find, list};

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "unit")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub code: String,
    pub name: Option<String>,
    pub kind: String,
    pub parent_unit: Option<String>,
    pub contact_email: Option<String>,
    pub import_id: Option<i64>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

impl Stored for Entity {
    type Noun = Unit;
    const KEY: &'static [&'static str] = &["code"];

    fn model(unit: &Unit, import_id: Option<i64>, _twins: &mut Twins) -> Model {
        Model {
            id: 0,
            code: unit.unit.clone(),
            name: filled(unit.name.as_deref()),
            kind: unit.kind.word().to_owned(),
            parent_unit: filled(unit.parent_unit.as_deref()),
            contact_email: filled(unit.contact_email.as_deref()),
            import_id,
        }
    }

    fn noun(row: Model) -> Result<Unit> {
        let kind = Row { table: "unit", id: &row.id }.word("kind", &row.kind)?;
        Ok(Unit {
            unit: row.code,
            name: row.name,
            kind,
            parent_unit: row.parent_unit,
            contact_email: row.contact_email,
        })
    }
}

/// Fails where there is no such unit that anybody may see.
pub(crate) async fn need(db: &impl ConnectionTrait, unit: &str) -> Result<()> {
    match find::<Entity>().filter(Column::Code.eq(unit)).one(db).await? {
        Some(_) => Ok(()),
        None => Err(StoreError::missing("unit", unit)),
    }
}

impl Store {
    /// Adds a unit.
    ///
    /// # Errors
    /// [`StoreError::Taken`] where the code is in use; [`StoreError::Missing`] where there is no such parent.
    pub async fn add_unit(&self, by: &Actor, now: DateTime<Utc>, unit: &Unit) -> Result<()> {
        let tx = self.begin().await?;
        if let Some(parent) = &unit.parent_unit {
            need(&tx, parent).await?;
        }
        let row = Entity::model(unit, None, &mut Twins::default());
        insert_live::<Entity>(&tx, row.clone(), "unit", &unit.unit).await?;
        enter(&tx, by, now, Entry::new("add", "unit", &unit.unit).after(json::row(row))).await?;
        Ok(tx.commit().await?)
    }

    /// A unit by its code.
    pub async fn find_unit(&self, code: &str) -> Result<Option<Unit>> {
        let row = find::<Entity>().filter(Column::Code.eq(code)).one(self.reader()).await?;
        row.map(Entity::noun).transpose()
    }

    /// All units in the order they came.
    pub async fn list_units(&self) -> Result<Vec<Unit>> {
        list::<Entity>(self.reader()).await
    }

    /// Units whose code or name contains a text, in any case.
    pub async fn search_units(&self, text: &str, page: Page) -> Result<Vec<Unit>> {
        let matches =
            Condition::any().add(contains(("unit", "code"), text)).add(contains(("unit", "name"), text));
        let select = find::<Entity>().filter(matches).offset(page.offset()).limit(page.size);
        select.all(self.reader()).await?.into_iter().map(Entity::noun).collect()
    }
}
