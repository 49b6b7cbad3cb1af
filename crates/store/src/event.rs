//! Events in the life of items.

use domain::event::Event;
use sea_orm::entity::prelude::*;

use crate::error::Result;
use crate::identity::{Identity, Twins};
use crate::read_back::{Row, filled};
use crate::stored::Stored;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "event")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub happened_on: chrono::NaiveDate,
    pub unit: String,
    pub serial: Option<String>,
    pub lot_no: Option<String>,
    pub quantity: i64,
    pub kind: String,
    pub part_no: Option<String>,
    pub new_lot_no: Option<String>,
    pub outcome: Option<String>,
    pub identity: String,
    pub import_id: Option<i64>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

impl Stored for Entity {
    type Noun = Event;
    const KEY: &'static [&'static str] = &["identity"];

    fn model(noun: &Event, import_id: Option<i64>, twins: &mut Twins) -> Model {
        let mut row = Model {
            id: 0,
            happened_on: noun.happened_on,
            unit: noun.unit.clone(),
            serial: filled(noun.serial.as_deref()),
            lot_no: filled(noun.lot_no.as_deref()),
            quantity: i64::from(noun.quantity),
            kind: noun.kind.word().to_owned(),
            part_no: filled(noun.part_no.as_deref()),
            new_lot_no: filled(noun.new_lot_no.as_deref()),
            outcome: filled(noun.outcome.as_deref()),
            identity: String::new(),
            import_id,
        };
        row.identity = Identity::of("event")
            .part(&row.happened_on)
            .part(&row.unit)
            .part(&row.serial)
            .part(&row.lot_no)
            .part(&row.quantity)
            .part(&row.kind)
            .part(&row.part_no)
            .part(&row.new_lot_no)
            .part(&row.outcome)
            .whole(twins);
        row
    }

    fn noun(row: Model) -> Result<Event> {
        let read = Row { table: "event", id: &row.id };
        Ok(Event {
            quantity: read.number("quantity", row.quantity)?,
            kind: read.word("kind", &row.kind)?,
            happened_on: row.happened_on,
            unit: row.unit,
            serial: row.serial,
            lot_no: row.lot_no,
            part_no: row.part_no,
            new_lot_no: row.new_lot_no,
            outcome: row.outcome,
        })
    }
}
