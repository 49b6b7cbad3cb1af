//! The structure: which part revisions make up a parent revision.

use domain::structure::Component;
use sea_orm::entity::prelude::*;

use crate::error::Result;
use crate::identity::{Identity, Twins};
use crate::read_back::filled;
use crate::stored::Stored;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "component")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub parent_part_no: String,
    pub parent_revision: String,
    pub child_part_no: String,
    pub child_revision: String,
    pub quantity: f64,
    pub position: Option<String>,
    pub size: Option<String>,
    pub configuration: Option<String>,
    pub identity: String,
    pub import_id: Option<i64>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

impl Stored for Entity {
    type Noun = Component;
    const KEY: &'static [&'static str] = &["identity"];

    fn model(line: &Component, import_id: Option<i64>, _twins: &mut Twins) -> Model {
        let mut row = Model {
            id: 0,
            parent_part_no: line.parent_part_no.clone(),
            parent_revision: line.parent_revision.clone(),
            child_part_no: line.child_part_no.clone(),
            child_revision: line.child_revision.clone(),
            quantity: line.quantity,
            position: filled(line.position.as_deref()),
            size: filled(line.size.as_deref()),
            configuration: filled(line.configuration.as_deref()),
            identity: String::new(),
            import_id,
        };
        row.identity = Identity::default()
            .part(&row.parent_part_no)
            .part(&row.parent_revision)
            .part(&row.child_part_no)
            .part(&row.child_revision)
            .part(&row.position)
            .part(&row.size)
            .part(&row.configuration)
            .key();
        row
    }

    fn noun(row: Model) -> Result<Component> {
        Ok(Component {
            parent_part_no: row.parent_part_no,
            parent_revision: row.parent_revision,
            child_part_no: row.child_part_no,
            child_revision: row.child_revision,
            quantity: row.quantity,
            position: row.position,
            size: row.size,
            configuration: row.configuration,
        })
    }
}
