//! Documents that a change alters.

use domain::change_record::DocumentKind;
use sea_orm::QueryOrder as _;
use sea_orm::entity::prelude::*;

use super::gathered::{ByChange, by_change};
use crate::error::Result;
use crate::read_back::Row;

/// One document that a change alters.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AffectedDocument {
    /// What kind of document.
    pub kind: DocumentKind,
    /// Its number or title.
    pub number: String,
    /// The revision that is altered.
    pub revision: Option<String>,
    /// What alters in it.
    pub note: Option<String>,
}

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "change_document")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub change_no: String,
    pub kind: String,
    pub number: String,
    pub revision: Option<String>,
    pub note: Option<String>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

pub(super) async fn documents_of(
    db: &impl ConnectionTrait,
    changes: &[String],
) -> Result<ByChange<AffectedDocument>> {
    let rows = Entity::find().filter(Column::ChangeNo.is_in(changes)).order_by_asc(Column::Id);
    by_change(rows.all(db).await?, |row| {
        let kind = Row { table: "change_document", id: &row.id }.word("kind", &row.kind)?;
        let (number, revision, note) = (row.number, row.revision, row.note);
        Ok((row.change_no, AffectedDocument { kind, number, revision, note }))
    })
}

/// Replaces the whole list.
pub(super) async fn write_documents(
    db: &impl ConnectionTrait,
    change_no: &str,
    documents: &[AffectedDocument],
) -> Result<()> {
    use sea_orm::ActiveValue::{NotSet, Set};
    Entity::delete_many().filter(Column::ChangeNo.eq(change_no)).exec(db).await?;
    let rows = documents.iter().map(|document| ActiveModel {
        id: NotSet,
        change_no: Set(change_no.to_owned()),
        kind: Set(document.kind.word().to_owned()),
        number: Set(document.number.clone()),
        revision: Set(document.revision.clone()),
        note: Set(document.note.clone()),
    });
    Entity::insert_many(rows).exec_without_returning(db).await?;
    Ok(())
}
