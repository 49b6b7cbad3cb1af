//! The history of the conditions of lots in stock.

use std::collections::BTreeMap;

use chrono::{DateTime, NaiveDate, Utc};
use domain::lot_condition::{LotCondition, Scope};
use domain::permission::Actor;
use sea_orm::ActiveValue::{NotSet, Set};
use sea_orm::QueryOrder as _;
use sea_orm::entity::prelude::*;

use crate::connect::Store;
use crate::error::Result;
use crate::journal::{Entry, enter, moment, named};
use crate::kept::Kept;
use crate::read_back::Row;
use crate::{json, lot};

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "lot_condition")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub lot_no: String,
    pub maker: Option<String>,
    pub condition: String,
    pub on_day: NaiveDate,
    pub authority: String,
    pub scope: String,
    pub unit: Option<String>,
    pub quantity: Option<i64>,
    pub reason: String,
    pub made_by: String,
    pub made_at: DateTime<Utc>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

fn kept_of(row: Model) -> Result<Kept<LotCondition>> {
    let read = Row { table: "lot_condition", id: &row.id };
    let scope = match (row.scope.as_str(), row.unit, read.optional_number("quantity", row.quantity)?) {
        ("whole", ..) => Scope::Whole,
        ("unit", Some(unit), _) => Scope::Unit(unit),
        ("quantity", _, Some(items)) => Scope::Quantity(items),
        _ => return Err(read.corrupt("scope")),
    };
    let what = LotCondition {
        condition: read.word("condition", &row.condition)?,
        lot_no: row.lot_no,
        maker: row.maker,
        on: row.on_day,
        authority: row.authority,
        scope,
        reason: row.reason,
    };
    Ok(Kept { number: row.id.to_string(), what, by: row.made_by, at: row.made_at })
}

fn row_of(new: &LotCondition, by: &Actor, now: DateTime<Utc>) -> ActiveModel {
    let (scope, unit, quantity) = match &new.scope {
        Scope::Whole => ("whole", None, None),
        Scope::Unit(unit) => ("unit", Some(unit.clone()), None),
        Scope::Quantity(items) => ("quantity", None, Some(i64::from(*items))),
    };
    ActiveModel {
        id: NotSet,
        lot_no: Set(new.lot_no.clone()),
        maker: Set(new.maker.clone()),
        condition: Set(new.condition.word().to_owned()),
        on_day: Set(new.on),
        authority: Set(new.authority.trim().to_owned()),
        scope: Set(scope.to_owned()),
        unit: Set(unit),
        quantity: Set(quantity),
        reason: Set(new.reason.trim().to_owned()),
        made_by: Set(named(by).0),
        made_at: Set(moment(now)),
    }
}

async fn history(
    db: &impl ConnectionTrait,
    lot_no: &str,
    maker: Option<&str>,
) -> Result<Vec<Kept<LotCondition>>> {
    let of_lot = Entity::find().filter(Column::LotNo.eq(lot_no)).order_by_asc(Column::Id);
    let of_lot = match maker {
        Some(maker) => of_lot.filter(Column::Maker.eq(maker)),
        None => of_lot.filter(Column::Maker.is_null()),
    };
    of_lot.all(db).await?.into_iter().map(kept_of).collect()
}

/// The conditions of each lot of each maker, in the order they were set.
pub(crate) async fn histories(db: &impl ConnectionTrait) -> Result<Vec<Vec<Kept<LotCondition>>>> {
    let mut of_lots: BTreeMap<(String, Option<String>), Vec<Kept<LotCondition>>> = BTreeMap::new();
    for row in Entity::find().order_by_asc(Column::Id).all(db).await? {
        of_lots.entry((row.lot_no.clone(), row.maker.clone())).or_default().push(kept_of(row)?);
    }
    Ok(of_lots.into_values().collect())
}

impl Store {
    /// Sets the condition of a lot or of a part of it; the entries before stay.
    ///
    /// # Errors
    /// [`crate::StoreError::Missing`] where there is no such lot; [`crate::StoreError::Refused`] where the entry breaks a
    /// rule.
    pub async fn set_lot_condition(&self, by: &Actor, now: DateTime<Utc>, new: &LotCondition) -> Result<()> {
        new.check(now.date_naive())?;
        let tx = self.begin().await?;
        lot::need(&tx, &new.lot_no, new.maker.as_deref()).await?;
        let before = history(&tx, &new.lot_no, new.maker.as_deref()).await?;
        let before: Vec<LotCondition> = before.into_iter().map(|kept| kept.what).collect();
        new.check_after(&before)?;
        let added = Entity::insert(row_of(new, by, now)).exec_with_returning(&tx).await?;
        enter(&tx, by, now, Entry::new("set", "lot condition", &new.lot_no).after(json::row(added))).await?;
        Ok(tx.commit().await?)
    }

    /// The conditions of one lot, in the order they were set.
    pub async fn conditions_of_lot(
        &self,
        lot_no: &str,
        maker: Option<&str>,
    ) -> Result<Vec<Kept<LotCondition>>> {
        history(self.reader(), lot_no, maker).await
    }

    /// The conditions of all lots, in the order they were set.
    pub async fn list_lot_conditions(&self) -> Result<Vec<Kept<LotCondition>>> {
        let rows = Entity::find().order_by_asc(Column::Id).all(self.reader()).await?;
        rows.into_iter().map(kept_of).collect()
    }
}
