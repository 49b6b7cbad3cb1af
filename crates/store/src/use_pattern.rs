//! How much units wear their items.

use domain::use_pattern::UsePattern;
use sea_orm::entity::prelude::*;

use crate::error::Result;
use crate::identity::{Identity, Twins};
use crate::read_back::{Row, filled, word_of};
use crate::stored::Stored;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "use_pattern")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub unit: String,
    pub from_on: chrono::NaiveDate,
    pub to_on: Option<chrono::NaiveDate>,
    pub activity: Option<String>,
    pub wear_hours_per_item_month: f64,
    pub basis: Option<String>,
    pub identity: String,
    pub import_id: Option<i64>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

impl Stored for Entity {
    type Noun = UsePattern;
    const KEY: &'static [&'static str] = &["identity"];

    fn model(noun: &UsePattern, import_id: Option<i64>, _twins: &mut Twins) -> Model {
        let mut row = Model {
            id: 0,
            unit: noun.unit.clone(),
            from_on: noun.from,
            to_on: noun.to,
            activity: filled(noun.activity.as_deref()),
            wear_hours_per_item_month: noun.wear_hours_per_item_month,
            basis: word_of(noun.basis, domain::use_pattern::UseBasis::word),
            identity: String::new(),
            import_id,
        };
        row.identity = Identity::default().part(&row.unit).part(&row.from_on).part(&row.activity).key();
        row
    }

    fn noun(row: Model) -> Result<UsePattern> {
        let read = Row { table: "use_pattern", id: &row.id };
        Ok(UsePattern {
            basis: read.optional_word("basis", row.basis.as_deref())?,
            unit: row.unit,
            from: row.from_on,
            to: row.to_on,
            activity: row.activity,
            wear_hours_per_item_month: row.wear_hours_per_item_month,
        })
    }
}
