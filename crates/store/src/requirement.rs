//! Requirements on items.

use domain::requirement::Requirement;
use sea_orm::entity::prelude::*;

use crate::error::Result;
use crate::identity::{Identity, Twins};
use crate::read_back::{Row, filled, word_of};
use crate::stored::Stored;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "requirement")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub item_part_no: String,
    pub requirement_no: String,
    pub text: String,
    pub measure: Option<String>,
    pub limit_kind: Option<String>,
    pub limit_value: Option<f64>,
    pub configuration: Option<String>,
    pub size: Option<String>,
    pub identity: String,
    pub import_id: Option<i64>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

impl Stored for Entity {
    type Noun = Requirement;
    const KEY: &'static [&'static str] = &["identity"];

    fn model(noun: &Requirement, import_id: Option<i64>, _twins: &mut Twins) -> Model {
        let mut row = Model {
            id: 0,
            item_part_no: noun.item_part_no.clone(),
            requirement_no: noun.requirement_no.clone(),
            text: noun.text.clone(),
            measure: word_of(noun.measure, domain::requirement::Measure::word),
            limit_kind: word_of(noun.limit_kind, domain::requirement::LimitKind::word),
            limit_value: noun.limit,
            configuration: filled(noun.configuration.as_deref()),
            size: filled(noun.size.as_deref()),
            identity: String::new(),
            import_id,
        };
        row.identity = Identity::default()
            .part(&row.item_part_no)
            .part(&row.requirement_no)
            .part(&row.configuration)
            .part(&row.size)
            .key();
        row
    }

    fn noun(row: Model) -> Result<Requirement> {
        let read = Row { table: "requirement", id: &row.id };
        Ok(Requirement {
            measure: read.optional_word("measure", row.measure.as_deref())?,
            limit_kind: read.optional_word("limit_kind", row.limit_kind.as_deref())?,
            item_part_no: row.item_part_no,
            requirement_no: row.requirement_no,
            text: row.text,
            limit: row.limit_value,
            configuration: row.configuration,
            size: row.size,
        })
    }
}
