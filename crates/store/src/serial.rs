//! Items known by number, and where they were when.

use domain::serial::Serial;
use sea_orm::entity::prelude::*;

use crate::error::Result;
use crate::identity::{Identity, Twins};
use crate::read_back::filled;
use crate::stored::Stored;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "serial")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub serial: String,
    pub lot_no: String,
    pub unit: Option<String>,
    pub from_on: Option<chrono::NaiveDate>,
    pub to_on: Option<chrono::NaiveDate>,
    pub identity: String,
    pub import_id: Option<i64>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

impl Stored for Entity {
    type Noun = Serial;
    const KEY: &'static [&'static str] = &["identity"];

    fn model(noun: &Serial, import_id: Option<i64>, _twins: &mut Twins) -> Model {
        let mut row = Model {
            id: 0,
            serial: noun.serial.clone(),
            lot_no: noun.lot_no.clone(),
            unit: filled(noun.unit.as_deref()),
            from_on: noun.from,
            to_on: noun.to,
            identity: String::new(),
            import_id,
        };
        row.identity = Identity::default().part(&row.serial).part(&row.lot_no).part(&row.from_on).key();
        row
    }

    fn noun(row: Model) -> Result<Serial> {
        Ok(Serial {
            serial: row.serial,
            lot_no: row.lot_no,
            unit: row.unit,
            from: row.from_on,
            to: row.to_on,
        })
    }
}
