//! Engineering changes, as a pack carries them.

use domain::change::Change;
use sea_orm::entity::prelude::*;

use crate::connect::Store;
use crate::error::Result;
use crate::identity::Twins;
use crate::read_back::{Row, filled, word_of};
use crate::stored::{Stored, find, list};

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "change")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub change_no: String,
    pub title: String,
    pub part_no: String,
    pub from_revision: String,
    pub to_revision: String,
    /// Codes of modes with blanks between.
    pub modes: String,
    pub state: Option<String>,
    pub cut_in_lot: Option<String>,
    pub cut_in_on: Option<chrono::NaiveDate>,
    pub import_id: Option<i64>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

impl Stored for Entity {
    type Noun = Change;
    const KEY: &'static [&'static str] = &["change_no"];

    fn model(change: &Change, import_id: Option<i64>, _twins: &mut Twins) -> Model {
        Model {
            id: 0,
            change_no: change.change_no.clone(),
            title: change.title.clone(),
            part_no: change.part_no.clone(),
            from_revision: change.from_revision.clone(),
            to_revision: change.to_revision.clone(),
            modes: change.modes.join(" "),
            state: word_of(change.state, domain::change::ChangeState::word),
            cut_in_lot: filled(change.cut_in_lot.as_deref()),
            cut_in_on: change.cut_in_on,
            import_id,
        }
    }

    fn noun(row: Model) -> Result<Change> {
        let read = Row { table: "change", id: &row.id };
        Ok(Change {
            state: read.optional_word("state", row.state.as_deref())?,
            change_no: row.change_no,
            title: row.title,
            part_no: row.part_no,
            from_revision: row.from_revision,
            to_revision: row.to_revision,
            modes: row.modes.split_whitespace().map(str::to_owned).collect(),
            cut_in_lot: row.cut_in_lot,
            cut_in_on: row.cut_in_on,
        })
    }
}

impl Store {
    /// All changes in the order they came.
    pub async fn list_changes(&self) -> Result<Vec<Change>> {
        list::<Entity>(self.reader()).await
    }

    /// A change by its number.
    pub async fn find_change(&self, change_no: &str) -> Result<Option<Change>> {
        let row = find::<Entity>().filter(Column::ChangeNo.eq(change_no)).one(self.reader()).await?;
        row.map(Entity::noun).transpose()
    }
}
