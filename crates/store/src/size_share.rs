//! The tariff of sizes.

use domain::size_share::SizeShare;
use sea_orm::QuerySelect as _;
use sea_orm::entity::prelude::*;

use crate::connect::Store;
use crate::error::Result;
use crate::identity::Twins;
use crate::lot;
use crate::stored::{Stored, find, visible};

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "size_share")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub part_no: String,
    pub size: String,
    pub share_per_1000: f64,
    pub import_id: Option<i64>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

impl Stored for Entity {
    type Noun = SizeShare;
    const KEY: &'static [&'static str] = &["part_no", "size"];

    fn model(noun: &SizeShare, import_id: Option<i64>, _twins: &mut Twins) -> Model {
        Model {
            id: 0,
            part_no: noun.part_no.clone(),
            size: noun.size.clone(),
            share_per_1000: noun.share_per_1000,
            import_id,
        }
    }

    fn noun(row: Model) -> Result<SizeShare> {
        Ok(SizeShare { part_no: row.part_no, size: row.size, share_per_1000: row.share_per_1000 })
    }
}

impl Store {
    /// The sizes items are made in, each once: those of the size tariff in its order, or of the lots where there is
    /// no tariff.
    pub async fn list_sizes(&self) -> Result<Vec<String>> {
        let mut sizes: Vec<String> = Vec::new();
        for share in find::<Entity>().all(self.reader()).await? {
            if !sizes.contains(&share.size) {
                sizes.push(share.size);
            }
        }
        if !sizes.is_empty() {
            return Ok(sizes);
        }
        let of_lots = lot::Entity::find()
            .select_only()
            .distinct()
            .column(lot::Column::Size)
            .filter(lot::Column::Size.is_not_null())
            .filter(visible("lot"));
        let mut sizes: Vec<String> = of_lots.into_tuple().all(self.reader()).await?;
        sizes.sort();
        Ok(sizes)
    }
}
