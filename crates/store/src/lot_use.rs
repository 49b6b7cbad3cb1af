//! What lots were made from.

use domain::lot_use::LotUse;
use sea_orm::entity::prelude::*;

use crate::error::Result;
use crate::identity::Twins;
use crate::stored::Stored;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "lot_use")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub lot_no: String,
    pub used_lot_no: String,
    pub quantity: Option<f64>,
    pub import_id: Option<i64>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

impl Stored for Entity {
    type Noun = LotUse;
    const KEY: &'static [&'static str] = &["lot_no", "used_lot_no"];

    fn model(noun: &LotUse, import_id: Option<i64>, _twins: &mut Twins) -> Model {
        Model {
            id: 0,
            lot_no: noun.lot_no.clone(),
            used_lot_no: noun.used_lot_no.clone(),
            quantity: noun.quantity,
            import_id,
        }
    }

    fn noun(row: Model) -> Result<LotUse> {
        Ok(LotUse { lot_no: row.lot_no, used_lot_no: row.used_lot_no, quantity: row.quantity })
    }
}
