//! The lots or dates at which changes take effect.

use domain::effectivity::Effectivity;
use sea_orm::entity::prelude::*;

use crate::error::Result;
use crate::identity::{Identity, Twins};
use crate::read_back::{Row, filled};
use crate::stored::{Stored, find};

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "effectivity")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub change_no: String,
    pub stage: String,
    pub maker: Option<String>,
    pub from_lot: Option<String>,
    pub to_lot: Option<String>,
    pub share_new: f64,
    pub from_date: Option<chrono::NaiveDate>,
    pub identity: String,
    pub import_id: Option<i64>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

impl Stored for Entity {
    type Noun = Effectivity;
    const KEY: &'static [&'static str] = &["identity"];

    fn model(noun: &Effectivity, import_id: Option<i64>, twins: &mut Twins) -> Model {
        let mut row = Model {
            id: 0,
            change_no: noun.change_no.clone(),
            stage: noun.stage.word().to_owned(),
            maker: filled(noun.maker.as_deref()),
            from_lot: filled(noun.from_lot.as_deref()),
            to_lot: filled(noun.to_lot.as_deref()),
            share_new: noun.share_new,
            from_date: noun.from_date,
            identity: String::new(),
            import_id,
        };
        row.identity = Identity::of("effectivity")
            .part(&row.change_no)
            .part(&row.stage)
            .part(&row.maker)
            .part(&row.from_lot)
            .part(&row.to_lot)
            .part(&row.share_new)
            .part(&row.from_date)
            .whole(twins);
        row
    }

    fn noun(row: Model) -> Result<Effectivity> {
        let read = Row { table: "effectivity", id: &row.id };
        Ok(Effectivity {
            stage: read.word("stage", &row.stage)?,
            change_no: row.change_no,
            maker: row.maker,
            from_lot: row.from_lot,
            to_lot: row.to_lot,
            share_new: row.share_new,
            from_date: row.from_date,
        })
    }
}

/// The lines of one change in the order they came.
pub(crate) async fn of_change(db: &impl ConnectionTrait, change_no: &str) -> Result<Vec<Effectivity>> {
    of_changes(db, &[change_no.to_owned()]).await
}

/// The lines of some changes in the order they came.
pub(crate) async fn of_changes(db: &impl ConnectionTrait, changes: &[String]) -> Result<Vec<Effectivity>> {
    let rows = find::<Entity>().filter(Column::ChangeNo.is_in(changes)).all(db).await?;
    rows.into_iter().map(Entity::noun).collect()
}
