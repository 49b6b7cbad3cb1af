//! Parts in their released revisions.
//!
//! A part has a row of its own beside its revisions, so that reports can refer to it whatever its revision.

use std::collections::HashSet;

use domain::part::PartRevision;
use sea_orm::ExprTrait as _;
use sea_orm::entity::prelude::*;
use sea_orm::sea_query::{Expr, Query};

use crate::connect::Store;
use crate::error::{Result, StoreError};
use crate::identity::Twins;
use crate::read_back::filled;
use crate::stored::{Stored, find, list, table_of, visible};

/// The numbers of parts.
pub(crate) mod number {
    use sea_orm::entity::prelude::*;

    use crate::error::Result;
    use crate::identity::Twins;
    use crate::stored::Stored;

    #[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
    #[sea_orm(table_name = "part")]
    pub(crate) struct Model {
        #[sea_orm(primary_key)]
        pub id: i64,
        pub part_no: String,
        pub import_id: Option<i64>,
    }

    #[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
    pub(crate) enum Relation {}

    impl ActiveModelBehavior for ActiveModel {}

    impl Stored for Entity {
        type Noun = String;
        const KEY: &'static [&'static str] = &["part_no"];

        fn model(part_no: &String, import_id: Option<i64>, _twins: &mut Twins) -> Model {
            Model { id: 0, part_no: part_no.clone(), import_id }
        }

        fn noun(row: Model) -> Result<String> {
            Ok(row.part_no)
        }
    }
}

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "part_revision")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub part_no: String,
    pub revision: String,
    pub name: String,
    pub kind: String,
    pub released_on: Option<chrono::NaiveDate>,
    pub replaces_revision: Option<String>,
    pub change_no: Option<String>,
    pub life_years: Option<f64>,
    pub import_id: Option<i64>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

impl Stored for Entity {
    type Noun = PartRevision;
    const KEY: &'static [&'static str] = &["part_no", "revision"];

    fn model(part: &PartRevision, import_id: Option<i64>, _twins: &mut Twins) -> Model {
        Model {
            id: 0,
            part_no: part.part_no.clone(),
            revision: part.revision.clone(),
            name: part.name.clone(),
            kind: part.kind.clone(),
            released_on: part.released_on,
            replaces_revision: filled(part.replaces_revision.as_deref()),
            change_no: filled(part.change_no.as_deref()),
            life_years: part.life_years,
            import_id,
        }
    }

    fn noun(row: Model) -> Result<PartRevision> {
        Ok(PartRevision {
            part_no: row.part_no,
            revision: row.revision,
            name: row.name,
            kind: row.kind,
            released_on: row.released_on,
            replaces_revision: row.replaces_revision,
            change_no: row.change_no,
            life_years: row.life_years,
        })
    }
}

/// Fails where there is no such part that anybody may see.
pub(crate) async fn need(db: &impl ConnectionTrait, part_no: &str) -> Result<()> {
    let row = find::<number::Entity>().filter(number::Column::PartNo.eq(part_no)).one(db).await?;
    row.map(|_| ()).ok_or_else(|| StoreError::missing("part", part_no))
}

/// Fails where there is no such revision that anybody may see.
pub(crate) async fn need_revision(db: &impl ConnectionTrait, part_no: &str, revision: &str) -> Result<()> {
    let rows = find::<Entity>().filter(Column::PartNo.eq(part_no)).filter(Column::Revision.eq(revision));
    let row = rows.one(db).await?;
    row.map(|_| ()).ok_or_else(|| StoreError::missing("part revision", format!("{part_no} {revision}")))
}

/// The numbers of parts of a kind, in whatever revision.
pub(crate) async fn of_kind(db: &impl ConnectionTrait, kind: &str) -> Result<HashSet<String>> {
    let rows = find::<Entity>().filter(Column::Kind.eq(kind)).all(db).await?;
    Ok(rows.into_iter().map(|row| row.part_no).collect())
}

impl Store {
    /// All revisions of all parts in the order they came.
    pub async fn list_parts(&self) -> Result<Vec<PartRevision>> {
        list::<Entity>(self.reader()).await
    }

    /// The revisions of one part in the order they came; empty where there is no such part.
    pub async fn revisions_of(&self, part_no: &str) -> Result<Vec<PartRevision>> {
        let rows = find::<Entity>().filter(Column::PartNo.eq(part_no)).all(self.reader()).await?;
        rows.into_iter().map(Entity::noun).collect()
    }

    /// The end items in the order they came, each revision by itself.
    pub async fn list_items(&self) -> Result<Vec<PartRevision>> {
        let rows = find::<Entity>().filter(Column::Kind.eq(domain::part::ITEM)).all(self.reader()).await?;
        rows.into_iter().map(Entity::noun).collect()
    }

    /// The parts that have ever been part of an item, each once, the item's direct components first: what a
    /// reporter may point at.
    pub async fn components_of(&self, item_part_no: &str) -> Result<Vec<String>> {
        let mut found: Vec<String> = Vec::new();
        let mut next = vec![item_part_no.to_owned()];
        while !next.is_empty() {
            let table = table_of::<crate::structure::Entity>();
            let query = Query::select()
                .distinct()
                .column("child_part_no")
                .from(table)
                .and_where(Expr::col("parent_part_no").is_in(next))
                .cond_where(visible(table))
                .order_by("child_part_no", sea_orm::Order::Asc)
                .take();
            let rows = self.reader().query_all(&query).await?;
            let children: Vec<String> =
                rows.iter().map(|row| row.try_get_by_index(0)).collect::<std::result::Result<_, _>>()?;
            next = children.into_iter().filter(|child| !found.contains(child)).collect();
            found.extend(next.iter().cloned());
        }
        Ok(found)
    }
}
