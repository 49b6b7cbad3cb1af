//! Variances: leave to depart from a requirement for so many items or so long.

use chrono::{DateTime, NaiveDate, Utc};
use domain::concerned::Concerned;
use domain::permission::Actor;
use domain::variance::{Departure, Variance};
use sea_orm::ActiveValue::{NotSet, Set};
use sea_orm::entity::prelude::*;
use sea_orm::{IntoActiveModel as _, QueryOrder as _};

use crate::change_record;
use crate::connect::Store;
use crate::error::{Result, StoreError};
use crate::journal::{Entry, enter, moment, named};
use crate::kept::{Kept, check_withdrawal, lines, next_number, of_lines};
use crate::read_back::Row;
use crate::twice;
use crate::{json, part};

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "variance")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub number: String,
    pub part_no: String,
    pub maker: Option<String>,
    /// Lot numbers, one a line.
    pub lots: String,
    pub departure: String,
    /// Words of what it touches, one a line.
    pub touches: String,
    pub quantity: Option<i64>,
    pub from_day: NaiveDate,
    pub expires: Option<NaiveDate>,
    pub recurring: bool,
    pub reason: String,
    pub approved_by: String,
    pub change_no: Option<String>,
    pub withdrawn_on: Option<NaiveDate>,
    pub withdrawn_why: Option<String>,
    pub made_by: String,
    pub made_at: DateTime<Utc>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

fn kept_of(row: Model) -> Result<Kept<Variance>> {
    let read = Row { table: "variance", id: &row.id };
    let what = Variance {
        touches: row.touches.lines().map(|word| read.word("touches", word)).collect::<Result<_>>()?,
        quantity: read.optional_number("quantity", row.quantity)?,
        concerned: Concerned { part_no: row.part_no, maker: row.maker, lots: of_lines(&row.lots) },
        departure: row.departure,
        from: row.from_day,
        expires: row.expires,
        recurring: row.recurring,
        reason: row.reason,
        approved_by: row.approved_by,
        change_no: row.change_no,
        withdrawn: row.withdrawn_on.map(|on| (on, row.withdrawn_why.unwrap_or_default())),
    };
    Ok(Kept { number: row.number, what, by: row.made_by, at: row.made_at })
}

fn row_of(number: String, new: &Variance, by: &Actor, now: DateTime<Utc>) -> ActiveModel {
    let touches: Vec<&str> = new.touches.iter().map(|&touched| Departure::word(touched)).collect();
    ActiveModel {
        id: NotSet,
        number: Set(number),
        part_no: Set(new.concerned.part_no.clone()),
        maker: Set(new.concerned.maker.clone()),
        lots: Set(lines(&new.concerned.lots)),
        departure: Set(new.departure.trim().to_owned()),
        touches: Set(touches.join("\n")),
        quantity: Set(new.quantity.map(i64::from)),
        from_day: Set(new.from),
        expires: Set(new.expires),
        recurring: Set(new.recurring),
        reason: Set(new.reason.trim().to_owned()),
        approved_by: Set(new.approved_by.trim().to_owned()),
        change_no: Set(new.change_no.clone()),
        withdrawn_on: Set(None),
        withdrawn_why: Set(None),
        made_by: Set(named(by).0),
        made_at: Set(moment(now)),
    }
}

/// The number of the variance that somebody has just written down in the same words, unless it was withdrawn.
async fn twin(
    db: &impl ConnectionTrait,
    by: &Actor,
    now: DateTime<Utc>,
    new: &Variance,
) -> Result<Option<String>> {
    let meant = Variance {
        departure: new.departure.trim().to_owned(),
        reason: new.reason.trim().to_owned(),
        approved_by: new.approved_by.trim().to_owned(),
        withdrawn: None,
        ..new.clone()
    };
    let just_written = twice::just_written((Column::MadeBy, Column::MadeAt), by, now);
    let rows = Entity::find().filter(just_written).order_by_asc(Column::Id).all(db).await?;
    let kept = rows.into_iter().map(kept_of).collect::<Result<Vec<_>>>()?;
    Ok(kept.into_iter().find(|kept| kept.what == meant).map(|kept| kept.number))
}

impl Store {
    /// Writes a variance down under the next sheet number of the year, and says the number. The same sent twice is the
    /// first one, under its number.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where there is no such part or change; [`StoreError::Refused`] where it breaks a rule.
    pub async fn add_variance(&self, by: &Actor, now: DateTime<Utc>, new: &Variance) -> Result<String> {
        new.check()?;
        let tx = self.begin().await?;
        part::need(&tx, &new.concerned.part_no).await?;
        if let Some(change_no) = &new.change_no {
            change_record::need(&tx, change_no).await?;
        }
        if let Some(first) = twin(&tx, by, now, new).await? {
            return Ok(first);
        }
        let number = next_number::<Entity>(&tx, Column::Number, "V-", now).await?;
        let added = Entity::insert(row_of(number.clone(), new, by, now)).exec_with_returning(&tx).await?;
        enter(&tx, by, now, Entry::new("give", "variance", &number).after(json::row(added))).await?;
        tx.commit().await?;
        Ok(number)
    }

    /// Withdraws a variance from today on.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where there is none of this number; [`StoreError::Refused`] where it was withdrawn or no
    /// reason is given.
    pub async fn withdraw_variance(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        number: &str,
        why: &str,
    ) -> Result<()> {
        let tx = self.begin().await?;
        let before = Entity::find().filter(Column::Number.eq(number)).one(&tx).await?;
        let before = before.ok_or_else(|| StoreError::missing("variance", number))?;
        check_withdrawal(before.withdrawn_on.is_some(), why)?;
        let mut row = before.clone().into_active_model();
        row.withdrawn_on = Set(Some(now.date_naive()));
        row.withdrawn_why = Set(Some(why.trim().to_owned()));
        let after = row.update(&tx).await?;
        let entry = Entry::new("withdraw", "variance", number).before(json::row(before));
        enter(&tx, by, now, entry.after(json::row(after))).await?;
        Ok(tx.commit().await?)
    }

    /// Every variance, the latest first.
    pub async fn list_variances(&self) -> Result<Vec<Kept<Variance>>> {
        let rows = Entity::find().order_by_desc(Column::Id).all(self.reader()).await?;
        rows.into_iter().map(kept_of).collect()
    }

    /// The variance of a number.
    pub async fn find_variance(&self, number: &str) -> Result<Option<Kept<Variance>>> {
        let row = Entity::find().filter(Column::Number.eq(number)).one(self.reader()).await?;
        row.map(kept_of).transpose()
    }
}
