//! Inspections: counts with a denominator.

use domain::inspection::Inspection;
use sea_orm::entity::prelude::*;

use crate::error::Result;
use crate::identity::{Identity, Twins};
use crate::read_back::{Row, filled};
use crate::stored::Stored;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "inspection")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub inspected_on: chrono::NaiveDate,
    pub unit: String,
    pub lot_no: Option<String>,
    pub part_no: String,
    pub mode: String,
    pub inspected: i64,
    pub found: i64,
    pub notice_no: Option<String>,
    pub identity: String,
    pub import_id: Option<i64>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

impl Stored for Entity {
    type Noun = Inspection;
    const KEY: &'static [&'static str] = &["identity"];

    fn model(noun: &Inspection, import_id: Option<i64>, twins: &mut Twins) -> Model {
        let mut row = Model {
            id: 0,
            inspected_on: noun.inspected_on,
            unit: noun.unit.clone(),
            lot_no: filled(noun.lot_no.as_deref()),
            part_no: noun.part_no.clone(),
            mode: noun.mode.clone(),
            inspected: i64::from(noun.inspected),
            found: i64::from(noun.found),
            notice_no: filled(noun.notice_no.as_deref()),
            identity: String::new(),
            import_id,
        };
        row.identity = Identity::of("inspection")
            .part(&row.inspected_on)
            .part(&row.unit)
            .part(&row.lot_no)
            .part(&row.part_no)
            .part(&row.mode)
            .part(&row.inspected)
            .part(&row.found)
            .part(&row.notice_no)
            .whole(twins);
        row
    }

    fn noun(row: Model) -> Result<Inspection> {
        let read = Row { table: "inspection", id: &row.id };
        Ok(Inspection {
            inspected: read.number("inspected", row.inspected)?,
            found: read.number("found", row.found)?,
            inspected_on: row.inspected_on,
            unit: row.unit,
            lot_no: row.lot_no,
            part_no: row.part_no,
            mode: row.mode,
            notice_no: row.notice_no,
        })
    }
}
