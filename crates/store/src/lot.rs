//! Lots, by number and maker.

use domain::lot::Lot;
use sea_orm::entity::prelude::*;
use sea_orm::{Condition, QuerySelect as _};

use crate::connect::Store;
use crate::error::{Result, StoreError};
use crate::identity::Twins;
use crate::page::{Page, contains};
use crate::read_back::{Row, filled};
use crate::stored::{Stored, find, list};

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "lot")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub lot_no: String,
    pub part_no: String,
    pub revision: String,
    pub size: Option<String>,
    pub made_on: Option<chrono::NaiveDate>,
    pub quantity: Option<i64>,
    /// Empty where not known, so that number and maker are one key.
    pub maker: String,
    pub contract_no: Option<String>,
    pub stock_no: Option<String>,
    pub purpose: String,
    pub import_id: Option<i64>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

impl Stored for Entity {
    type Noun = Lot;
    const KEY: &'static [&'static str] = &["lot_no", "maker"];

    fn model(lot: &Lot, import_id: Option<i64>, _twins: &mut Twins) -> Model {
        Model {
            id: 0,
            lot_no: lot.lot_no.clone(),
            part_no: lot.part_no.clone(),
            revision: lot.revision.clone(),
            size: filled(lot.size.as_deref()),
            made_on: lot.made_on,
            quantity: lot.quantity.map(i64::from),
            maker: lot.maker.clone().unwrap_or_default(),
            contract_no: filled(lot.contract_no.as_deref()),
            stock_no: filled(lot.stock_no.as_deref()),
            purpose: lot.purpose.word().to_owned(),
            import_id,
        }
    }

    fn noun(row: Model) -> Result<Lot> {
        let read = Row { table: "lot", id: &row.id };
        Ok(Lot {
            quantity: read.optional_number("quantity", row.quantity)?,
            purpose: read.word("purpose", &row.purpose)?,
            lot_no: row.lot_no,
            part_no: row.part_no,
            revision: row.revision,
            size: row.size,
            made_on: row.made_on,
            maker: filled(Some(&row.maker)),
            contract_no: row.contract_no,
            stock_no: row.stock_no,
        })
    }
}

/// Fails where there is no such lot that anybody may see.
pub(crate) async fn need(db: &impl ConnectionTrait, lot_no: &str, maker: Option<&str>) -> Result<()> {
    let of_number = find::<Entity>().filter(Column::LotNo.eq(lot_no));
    let row = of_number.filter(Column::Maker.eq(maker.unwrap_or_default())).one(db).await?;
    row.map(|_| ()).ok_or_else(|| StoreError::missing("lot", lot_no))
}

impl Store {
    /// All lots in the order they came.
    pub async fn list_lots(&self) -> Result<Vec<Lot>> {
        list::<Entity>(self.reader()).await
    }

    /// The lots of a number, one for each maker that used it.
    pub async fn lots_numbered(&self, lot_no: &str) -> Result<Vec<Lot>> {
        let rows = find::<Entity>().filter(Column::LotNo.eq(lot_no)).all(self.reader()).await?;
        rows.into_iter().map(Entity::noun).collect()
    }

    /// Lots whose number, part or maker contains a text, in any case.
    pub async fn search_lots(&self, text: &str, page: Page) -> Result<Vec<Lot>> {
        let matches = Condition::any()
            .add(contains(("lot", "lot_no"), text))
            .add(contains(("lot", "part_no"), text))
            .add(contains(("lot", "maker"), text));
        let select = find::<Entity>().filter(matches).offset(page.offset()).limit(page.size);
        select.all(self.reader()).await?.into_iter().map(Entity::noun).collect()
    }
}
