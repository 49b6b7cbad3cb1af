//! Masses of specimens of part revisions.

use domain::weighing::Weighing;
use sea_orm::entity::prelude::*;

use crate::error::Result;
use crate::identity::{Identity, Twins};
use crate::read_back::filled;
use crate::stored::Stored;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "weighing")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub part_no: String,
    pub revision: String,
    pub size: Option<String>,
    pub specimen: String,
    pub mass_g: f64,
    pub identity: String,
    pub import_id: Option<i64>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

impl Stored for Entity {
    type Noun = Weighing;
    const KEY: &'static [&'static str] = &["identity"];

    fn model(noun: &Weighing, import_id: Option<i64>, _twins: &mut Twins) -> Model {
        let mut row = Model {
            id: 0,
            part_no: noun.part_no.clone(),
            revision: noun.revision.clone(),
            size: filled(noun.size.as_deref()),
            specimen: noun.specimen.clone(),
            mass_g: noun.mass_g,
            identity: String::new(),
            import_id,
        };
        row.identity = Identity::default()
            .part(&row.part_no)
            .part(&row.revision)
            .part(&row.specimen)
            .part(&row.size)
            .key();
        row
    }

    fn noun(row: Model) -> Result<Weighing> {
        Ok(Weighing {
            part_no: row.part_no,
            revision: row.revision,
            size: row.size,
            specimen: row.specimen,
            mass_g: row.mass_g,
        })
    }
}
