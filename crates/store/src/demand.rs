//! Spare parts drawn by month.

use domain::demand::Demand;
use sea_orm::entity::prelude::*;

use crate::error::Result;
use crate::identity::Twins;
use crate::read_back::Row;
use crate::stored::Stored;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "demand")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub month: chrono::NaiveDate,
    pub part_no: String,
    pub quantity_drawn: i64,
    pub import_id: Option<i64>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

impl Stored for Entity {
    type Noun = Demand;
    const KEY: &'static [&'static str] = &["month", "part_no"];

    fn model(noun: &Demand, import_id: Option<i64>, _twins: &mut Twins) -> Model {
        Model {
            id: 0,
            month: noun.month,
            part_no: noun.part_no.clone(),
            quantity_drawn: i64::from(noun.quantity_drawn),
            import_id,
        }
    }

    fn noun(row: Model) -> Result<Demand> {
        let read = Row { table: "demand", id: &row.id };
        Ok(Demand {
            quantity_drawn: read.number("quantity_drawn", row.quantity_drawn)?,
            month: row.month,
            part_no: row.part_no,
        })
    }
}
