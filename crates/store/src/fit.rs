//! Body dimensions that sizes are made for.

use domain::fit::FitRange;
use sea_orm::entity::prelude::*;

use crate::error::Result;
use crate::identity::Twins;
use crate::stored::Stored;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "fit_range")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub item_part_no: String,
    pub size: String,
    pub dimension: String,
    pub low_mm: f64,
    pub high_mm: f64,
    pub import_id: Option<i64>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

impl Stored for Entity {
    type Noun = FitRange;
    const KEY: &'static [&'static str] = &["item_part_no", "size", "dimension"];

    fn model(noun: &FitRange, import_id: Option<i64>, _twins: &mut Twins) -> Model {
        Model {
            id: 0,
            item_part_no: noun.item_part_no.clone(),
            size: noun.size.clone(),
            dimension: noun.dimension.clone(),
            low_mm: noun.low_mm,
            high_mm: noun.high_mm,
            import_id,
        }
    }

    fn noun(row: Model) -> Result<FitRange> {
        Ok(FitRange {
            item_part_no: row.item_part_no,
            size: row.size,
            dimension: row.dimension,
            low_mm: row.low_mm,
            high_mm: row.high_mm,
        })
    }
}
