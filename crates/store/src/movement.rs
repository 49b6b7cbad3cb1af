//! The ledger: dated movements of quantities.

use domain::movement::Movement;
use sea_orm::entity::prelude::*;

use crate::error::Result;
use crate::identity::{Identity, Twins};
use crate::read_back::{Row, filled, word_of};
use crate::stored::Stored;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "movement")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub moved_on: chrono::NaiveDate,
    pub kind: String,
    pub lot_no: Option<String>,
    pub part_no: Option<String>,
    pub size: Option<String>,
    pub unit: String,
    pub quantity: i64,
    pub to_unit: Option<String>,
    pub to_lot_no: Option<String>,
    pub condition: Option<String>,
    pub reason: Option<String>,
    pub row_ref: Option<String>,
    pub identity: String,
    pub import_id: Option<i64>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

impl Stored for Entity {
    type Noun = Movement;
    const KEY: &'static [&'static str] = &["identity"];

    fn model(movement: &Movement, import_id: Option<i64>, twins: &mut Twins) -> Model {
        let mut row = Model {
            id: 0,
            moved_on: movement.moved_on,
            kind: movement.kind.word().to_owned(),
            lot_no: filled(movement.lot_no.as_deref()),
            part_no: filled(movement.part_no.as_deref()),
            size: filled(movement.size.as_deref()),
            unit: movement.unit.clone(),
            quantity: i64::from(movement.quantity),
            to_unit: filled(movement.to_unit.as_deref()),
            to_lot_no: filled(movement.to_lot_no.as_deref()),
            condition: word_of(movement.condition, domain::movement::Condition::word),
            reason: word_of(movement.reason, domain::movement::ReturnReason::word),
            row_ref: filled(movement.row_ref.as_deref()),
            identity: String::new(),
            import_id,
        };
        row.identity = match &row.row_ref {
            Some(row_ref) => format!("ref {row_ref}"),
            None => Identity::of("movement")
                .part(&row.moved_on)
                .part(&row.kind)
                .part(&row.lot_no)
                .part(&row.part_no)
                .part(&row.size)
                .part(&row.unit)
                .part(&row.quantity)
                .part(&row.to_unit)
                .part(&row.to_lot_no)
                .part(&row.condition)
                .part(&row.reason)
                .whole(twins),
        };
        row
    }

    fn noun(row: Model) -> Result<Movement> {
        let read = Row { table: "movement", id: &row.id };
        Ok(Movement {
            kind: read.word("kind", &row.kind)?,
            quantity: read.number("quantity", row.quantity)?,
            condition: read.optional_word("condition", row.condition.as_deref())?,
            reason: read.optional_word("reason", row.reason.as_deref())?,
            moved_on: row.moved_on,
            lot_no: row.lot_no,
            part_no: row.part_no,
            size: row.size,
            unit: row.unit,
            to_unit: row.to_unit,
            to_lot_no: row.to_lot_no,
            row_ref: row.row_ref,
        })
    }
}
