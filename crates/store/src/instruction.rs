//! Interim instructions: what units do with issued items until a change reaches them.

use chrono::{DateTime, NaiveDate, Utc};
use domain::concerned::Concerned;
use domain::instruction::Instruction;
use domain::permission::Actor;
use sea_orm::ActiveValue::{NotSet, Set};
use sea_orm::entity::prelude::*;
use sea_orm::{IntoActiveModel as _, QueryOrder as _};

use crate::connect::Store;
use crate::error::{Result, StoreError};
use crate::journal::{Entry, enter, moment, named};
use crate::kept::{Kept, check_withdrawal, lines, next_number, of_lines};
use crate::read_back::Row;
use crate::{change_record, json, part};

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "instruction")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub number: String,
    pub kind: String,
    pub part_no: String,
    pub maker: Option<String>,
    /// Lot numbers, one a line.
    pub lots: String,
    pub from_day: NaiveDate,
    pub to_day: Option<NaiveDate>,
    pub words: String,
    pub authority: String,
    pub change_no: Option<String>,
    pub recurrence_part_no: Option<String>,
    pub recurrence_mode: Option<String>,
    pub withdrawn_on: Option<NaiveDate>,
    pub withdrawn_why: Option<String>,
    pub made_by: String,
    pub made_at: DateTime<Utc>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

pub(crate) fn kept_of(row: Model) -> Result<Kept<Instruction>> {
    let kind = Row { table: "instruction", id: &row.id }.word("kind", &row.kind)?;
    let what = Instruction {
        kind,
        concerned: Concerned { part_no: row.part_no, maker: row.maker, lots: of_lines(&row.lots) },
        from: row.from_day,
        to: row.to_day,
        words: row.words,
        authority: row.authority,
        change_no: row.change_no,
        recurrence: row.recurrence_part_no.zip(row.recurrence_mode),
        withdrawn: row.withdrawn_on.map(|on| (on, row.withdrawn_why.unwrap_or_default())),
    };
    Ok(Kept { number: row.number, what, by: row.made_by, at: row.made_at })
}

fn row_of(number: String, new: &Instruction, by: &Actor, now: DateTime<Utc>) -> ActiveModel {
    let (recurrence_part_no, recurrence_mode) = new.recurrence.clone().unzip();
    ActiveModel {
        id: NotSet,
        number: Set(number),
        kind: Set(new.kind.word().to_owned()),
        part_no: Set(new.concerned.part_no.clone()),
        maker: Set(new.concerned.maker.clone()),
        lots: Set(lines(&new.concerned.lots)),
        from_day: Set(new.from),
        to_day: Set(new.to),
        words: Set(new.words.trim().to_owned()),
        authority: Set(new.authority.trim().to_owned()),
        change_no: Set(new.change_no.clone()),
        recurrence_part_no: Set(recurrence_part_no),
        recurrence_mode: Set(recurrence_mode),
        withdrawn_on: Set(None),
        withdrawn_why: Set(None),
        made_by: Set(named(by).0),
        made_at: Set(moment(now)),
    }
}

/// The first of these that orders what a new one would, in the same words, on the same days and by the same authority. One
/// that was withdrawn orders nothing, and a row that can't be read is no twin of any.
fn twin(given: Vec<Model>, new: &Instruction) -> Option<Kept<Instruction>> {
    let (words, authority) = (new.words.trim().to_owned(), new.authority.trim().to_owned());
    let meant = Instruction { words, authority, withdrawn: None, ..new.clone() };
    let of_part = given.into_iter().filter(|row| row.part_no == meant.concerned.part_no);
    of_part.filter_map(|row| kept_of(row).ok()).find(|kept| kept.what == meant)
}

/// The row of a number.
pub(crate) async fn need(db: &impl ConnectionTrait, number: &str) -> Result<Model> {
    let row = Entity::find().filter(Column::Number.eq(number)).one(db).await?;
    row.ok_or_else(|| StoreError::missing("instruction", number))
}

impl Store {
    /// Gives an instruction under the next sheet number of the year, and says the number. One that says the same as an
    /// instruction that was not withdrawn is that one, under its number: a form that is sent twice orders once.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where there is no such part or change; [`StoreError::Refused`] where it breaks a rule.
    pub async fn add_instruction(&self, by: &Actor, now: DateTime<Utc>, new: &Instruction) -> Result<String> {
        new.check()?;
        let tx = self.begin().await?;
        part::need(&tx, &new.concerned.part_no).await?;
        if let Some(change_no) = &new.change_no {
            change_record::need(&tx, change_no).await?;
        }
        let given = Entity::find().order_by_asc(Column::Id).all(&tx).await?;
        if let Some(standing) = twin(given, new) {
            return Ok(standing.number);
        }
        let number = next_number::<Entity>(&tx, Column::Number, "I-", now).await?;
        let added = Entity::insert(row_of(number.clone(), new, by, now)).exec_with_returning(&tx).await?;
        enter(&tx, by, now, Entry::new("give", "instruction", &number).after(json::row(added))).await?;
        tx.commit().await?;
        Ok(number)
    }

    /// Withdraws an instruction from today on.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where there is none of this number; [`StoreError::Refused`] where it was withdrawn or no
    /// reason is given.
    pub async fn withdraw_instruction(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        number: &str,
        why: &str,
    ) -> Result<()> {
        let tx = self.begin().await?;
        let before = need(&tx, number).await?;
        check_withdrawal(before.withdrawn_on.is_some(), why)?;
        let mut row = before.clone().into_active_model();
        row.withdrawn_on = Set(Some(now.date_naive()));
        row.withdrawn_why = Set(Some(why.trim().to_owned()));
        let after = row.update(&tx).await?;
        let entry = Entry::new("withdraw", "instruction", number).before(json::row(before));
        enter(&tx, by, now, entry.after(json::row(after))).await?;
        Ok(tx.commit().await?)
    }

    /// Every instruction, the latest first.
    pub async fn list_instructions(&self) -> Result<Vec<Kept<Instruction>>> {
        let rows = Entity::find().order_by_desc(Column::Id).all(self.reader()).await?;
        rows.into_iter().map(kept_of).collect()
    }

    /// The instruction of a number.
    pub async fn find_instruction(&self, number: &str) -> Result<Option<Kept<Instruction>>> {
        let row = Entity::find().filter(Column::Number.eq(number)).one(self.reader()).await?;
        row.map(kept_of).transpose()
    }
}
